// Lengths in millimetres: how one is shown and how it is typed.
const lengths = (() => {
  const figure = (value) => local(String(value).replace(/\B(?=(\d{3})+(?!\d))/g, "\u202f"));
  return {
    figure,
    words: (value) => `${figure(value)}\u00a0mm`,
    // Nearer than this to its mark it is on it, mm.
    near: 0.05,
    keys: ["1", "2", "3", "4", "5", "6", "7", "8", "9", "\u2190", "0", "."],
    takes: /^[0-9.]$/,
    once: ".",
    longest: 7,
    shown: (typed) => `${local(typed)}\u00a0mm`,
    // A length as its keys would type it.
    typed: (value) => String(value),
    ask: "Type the figure in mm first.",
    // Millimetres of what was typed.
    read: (typed) => Number(typed),
  };
})();

// Lengths in feet, inches and sixteenths: how one is shown and how it is typed. What is kept is in millimetres, to a tenth.
const lengths = (() => {
  const INCH = 25.4;
  const figure = (value) => {
    const parts = Math.round(Math.abs(value) / INCH * 16);
    const rest = parts % 16;
    const inches = (parts - rest) / 16 % 12;
    const feet = Math.floor(parts / 192);
    const by = [8, 4, 2, 1].filter((one) => rest % one === 0)[0];
    const words = [];
    if (feet) words.push(`${feet}'`);
    if (inches || (!rest && !feet)) words.push(String(inches));
    else if (rest && feet) words.push("0");
    if (rest) words.push(`${rest / by}/${16 / by}`);
    return (value < 0 && parts ? "\u2212" : "") + words.join("\u00a0") + (inches || rest || !feet ? "\"" : "");
  };
  // `8' 4 3/16"`, `100 3/16`, `3/16`, `4.5`: a number without a mark of feet is inches.
  const FORM = /^(?:(\d+(?:\.\d+)?)')? *(?:(\d+(?:\.\d+)?)(?:[ -]+(\d+)\/(\d+))?|(\d+)\/(\d+))? *"?$/;
  const read = (typed) => {
    const plain = typed.replace(/[\u2032\u2019]/g, "'").replace(/[\u2033\u201d]|''/g, "\"").trim();
    const found = FORM.exec(plain);
    if (!found || !/\d/.test(plain)) return NaN;
    const [over, under] = [Number(found[3] || found[5] || 0), Number(found[4] || found[6] || 1)];
    const inches = Number(found[2] || 0);
    if (under < 1 || over >= under && over > 0 || (found[1] && inches >= 12)) return NaN;
    const all = Number(found[1] || 0) * 12 + inches + over / under;
    return Math.round(all * INCH * 10) / 10;
  };
  return {
    figure,
    words: figure,
    // A reading to the nearest sixteenth is on its mark within half of one, mm.
    near: INCH / 32 + 0.06,
    keys: ["1", "2", "3", "4", "5", "6", "7", "8", "9", "'", "0", "/", "space", "\"", "\u2190"],
    takes: /^[0-9.'"\/ -]$/,
    once: ".'/\"",
    longest: 14,
    shown: (typed) => typed,
    // A length as its keys would type it.
    typed: (value) => figure(value).replace(/\u00a0/g, " "),
    ask: "Type feet, inches and sixteenths first, like 8' 4 3/16\".",
    read,
  };
})();

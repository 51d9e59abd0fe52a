// Recordings or readings dropped on the page go into its form, and the form goes off at once.
"use strict";

function tooLarge(form) {
  for (const field of form.querySelectorAll("input[type=file]")) {
    for (const file of field.files) if (file.size > Number(field.dataset.most)) return file.name;
  }
  return null;
}

// The field without which the chosen recordings would be refused; they stay chosen until it is filled.
function lacks(form) {
  const [chain, what] = [form.elements.chain, form.elements.what];
  if (!chain || what.value === "decay" || chain.value.trim()) return null;
  return form.elements.recording.files.length && !form.elements.calibration.files.length ? chain : null;
}

const dropOn = (event) => event.target.closest && event.target.closest("form.drop");

for (const kind of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(kind, (event) => {
    if (!event.dataTransfer.types.includes("Files")) return;
    const form = dropOn(event);
    // A file dropped beside the form must not take the place of the page.
    event.preventDefault();
    for (const one of document.querySelectorAll("form.drop.over")) one.classList.remove("over");
    if (!form) return;
    form.classList.toggle("over", kind === "dragover");
    if (kind !== "drop" || !event.dataTransfer.files.length) return;
    form.querySelector("input[type=file]").files = event.dataTransfer.files;
    form.requestSubmit();
  });
}

// A drawing dropped anywhere on the list begins a piece; a chosen file begins at once.

/** @param {HTMLFormElement} form */
export function begin(form) {
  const input = /** @type {HTMLInputElement | null} */ (form.querySelector("input[type=file]"));
  if (!input) return;
  input.addEventListener("change", () => input.files?.length && form.requestSubmit());
  const over = (/** @type {DragEvent} */ event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    form.classList.toggle("over", event.type === "dragover");
  };
  document.addEventListener("dragover", over);
  document.addEventListener("dragleave", over);
  document.addEventListener("drop", (event) => {
    over(event);
    const files = event.dataTransfer?.files;
    if (!files?.length) return;
    input.files = files;
    form.requestSubmit();
  });
}

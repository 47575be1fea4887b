// Reads out what lies under the pointer on the piece: place, depth, layer. The arrow keys move the
// read-out by a millimetre, with the shift key by ten.

/** @param {HTMLElement} figure */
export function picture(figure) {
  const at = { x: 0, y: 0 };
  let asked = new AbortController();

  const plate = () => /** @type {HTMLElement | null} */ (figure.querySelector("[data-probe]"));

  /** @param {HTMLElement} plate */
  const ask = async (plate) => {
    asked.abort();
    const question = (asked = new AbortController());
    mark(plate, at);
    const probe = `${plate.dataset.probe}&x_mm=${at.x.toFixed(2)}&y_mm=${at.y.toFixed(2)}`;
    try {
      const answer = await fetch(probe, { signal: question.signal });
      const words = answer.ok ? await answer.text() : "";
      if (!question.signal.aborted) say(figure, words);
    } catch {
      // A newer question took its place, or the program was closed: there is nothing to read out.
    }
  };

  figure.addEventListener("pointermove", (event) => {
    const on = plate();
    if (!on || !(event.target instanceof Node) || !on.contains(event.target)) return;
    const box = on.getBoundingClientRect();
    const { left, top, width, height } = lies(on);
    const x = left + ((event.clientX - box.left) / box.width) * width;
    const y = top + ((event.clientY - box.top) / box.height) * height;
    place(at, on, x, y);
    void ask(on);
  });
  figure.addEventListener("pointerleave", () => {
    asked.abort();
    say(figure, "");
    figure.querySelector(".cross")?.remove();
  });
  figure.addEventListener("keydown", (event) => {
    const on = plate();
    const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!on || !move || event.target !== on) return;
    event.preventDefault();
    const far = event.shiftKey ? 10 : 1;
    place(at, on, at.x + far * move[0], at.y + far * move[1]);
    void ask(on);
  });
  figure.addEventListener("focusin", (event) => {
    const on = plate();
    if (!on || event.target !== on || at.x !== 0 || at.y !== 0) return;
    place(at, on, Number(on.dataset.blankWidthMm) / 2, Number(on.dataset.blankHeightMm) / 2);
  });
}

/**
 * What part of the blank's plane the picture shows, in millimetres.
 * @param {HTMLElement} plate
 */
export function lies(plate) {
  const [left, top, width, height] = ["leftMm", "topMm", "widthMm", "heightMm"].map((key) => Number(plate.dataset[key]));
  return { left, top, width, height };
}

/**
 * @param {{x: number, y: number}} at
 * @param {HTMLElement} plate
 * @param {number} x
 * @param {number} y
 */
function place(at, plate, x, y) {
  at.x = Math.min(Math.max(x, 0), Number(plate.dataset.blankWidthMm));
  at.y = Math.min(Math.max(y, 0), Number(plate.dataset.blankHeightMm));
}

/**
 * @param {HTMLElement} plate
 * @param {{x: number, y: number}} at
 */
function mark(plate, at) {
  const old = plate.querySelector(".cross");
  const cross = old instanceof HTMLElement ? old : document.createElement("div");
  const { left, top, width, height } = lies(plate);
  cross.className = "cross";
  cross.style.left = `${((at.x - left) / width) * 100}%`;
  cross.style.top = `${((at.y - top) / height) * 100}%`;
  plate.append(cross);
}

/**
 * @param {HTMLElement} figure
 * @param {string} words
 */
function say(figure, words) {
  const out = figure.querySelector("#read-out");
  if (out) out.textContent = words;
}

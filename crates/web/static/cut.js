// A cut through the piece: a line drawn on it with the pointer, or typed; its section is drawn below.

import { lies } from "./picture.js";

/** @param {HTMLElement} figure */
export function cut(figure) {
  let asked = new AbortController();
  let drawn = "";
  /** @type {{x: number, y: number} | null} */
  let from = null;

  const form = () => /** @type {HTMLFormElement | null} */ (figure.querySelector("#cut-form"));
  const plate = () => /** @type {HTMLElement | null} */ (figure.querySelector("[data-probe]"));
  const chosen = () => /** @type {HTMLInputElement | null} */ (document.getElementById("way-cut"))?.checked ?? false;
  const field = (/** @type {string} */ name) => /** @type {HTMLInputElement} */ (form()?.elements.namedItem(name));

  const show = async () => {
    const at = form();
    if (!at || !chosen()) return;
    mark();
    const query = new URLSearchParams();
    for (const name of ["unit", "x1", "y1", "x2", "y2"]) query.set(name, field(name).value);
    const values = figure.querySelector("#cut-values");
    if (values instanceof HTMLAnchorElement) values.href = `${at.dataset.values}&${query}`;
    const address = `${at.dataset.drawing}&${query}`;
    if (address === drawn) return;
    drawn = address;
    asked.abort();
    const question = (asked = new AbortController());
    try {
      const answer = await fetch(address, { signal: question.signal });
      const text = await answer.text();
      const out = figure.querySelector("#cut-drawing");
      if (question.signal.aborted || !out) return;
      if (!answer.ok) return void (out.textContent = text);
      out.replaceChildren(new DOMParser().parseFromString(text, "image/svg+xml").documentElement);
    } catch {
      // A newer line took its place, or the program was closed.
      if (drawn === address) drawn = "";
    }
  };

  const mark = () => {
    const on = plate();
    if (!on) return;
    const per = Number(form()?.dataset.unitMm ?? 1);
    const [x1, y1, x2, y2] = ["x1", "y1", "x2", "y2"].map((name) => Number(field(name).value) * per);
    const { left, top, width, height } = lies(on);
    let svg = on.querySelector("svg.cut");
    if (!svg) {
      svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      svg.classList.add("cut");
      svg.setAttribute("aria-hidden", "true");
      svg.innerHTML = "<line class='under'/><line/>";
      on.append(svg);
    }
    svg.setAttribute("viewBox", `${left} ${top} ${width} ${height}`);
    for (const line of svg.querySelectorAll("line")) {
      for (const [name, value] of Object.entries({ x1, y1, x2, y2 })) line.setAttribute(name, String(value));
    }
  };

  /** @param {PointerEvent} event */
  const under = (event) => {
    const on = plate();
    if (!on || !chosen() || !(event.target instanceof Node) || !on.contains(event.target)) return null;
    const box = on.getBoundingClientRect();
    const { left, top, width, height } = lies(on);
    const x = left + ((event.clientX - box.left) / box.width) * width;
    const y = top + ((event.clientY - box.top) / box.height) * height;
    const within = (/** @type {number} */ mm, /** @type {string | undefined} */ most) => Math.min(Math.max(mm, 0), Number(most));
    return { x: within(x, on.dataset.blankWidthMm), y: within(y, on.dataset.blankHeightMm) };
  };

  /** @param {Record<string, number>} mm */
  const put = (mm) => {
    const per = Number(form()?.dataset.unitMm ?? 1);
    for (const [name, value] of Object.entries(mm)) field(name).value = (value / per).toFixed(per > 1 ? 3 : 1);
  };

  figure.addEventListener("pointerdown", (event) => {
    from = event.button === 0 ? under(event) : null;
    if (from) {
      event.preventDefault();
      plate()?.setPointerCapture(event.pointerId);
    }
  });
  figure.addEventListener("pointermove", (event) => {
    const to = from && under(event);
    if (!from || !to || Math.hypot(to.x - from.x, to.y - from.y) < 0.5) return;
    put({ x1: from.x, y1: from.y, x2: to.x, y2: to.y });
    mark();
  });
  figure.addEventListener("pointerup", () => {
    if (from) void show();
    from = null;
  });
  figure.addEventListener("pointercancel", () => (from = null));
  figure.addEventListener("change", (event) => {
    if (event.target instanceof Node && form()?.contains(event.target)) void show();
  });
  figure.addEventListener("submit", (event) => {
    if (event.target !== form()) return;
    event.preventDefault();
    drawn = "";
    void show();
  });
  for (const way of document.querySelectorAll("[name=way]")) way.addEventListener("change", () => void show());
  new MutationObserver(() => void show()).observe(figure, { subtree: true, attributeFilter: ["data-drawing"] });
}

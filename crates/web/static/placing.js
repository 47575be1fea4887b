// The drawing is placed and sized on the blank by hand: its frame is dragged by its middle or a corner, and snaps to
// the blank's edges and middle lines; a vessel's is laid flat for it. What the hand does is written into the recipe's fields, which plan again.

import { lies } from "./picture.js";
import { shown as numeral, word } from "./words.js";

/** How near an edge or a middle line draws the frame to it, in pixels of the screen. */
const NEAR = 8;

/** Milliseconds between two questions while the hand moves. */
const BEAT = 120;

/** A drawing is not made narrower than this by hand, in millimetres. */
const LEAST = 5;

/** @param {HTMLElement} figure */
export function placing(figure) {
  const way = /** @type {HTMLInputElement | null} */ (document.getElementById("way-place"));
  const plate = () => /** @type {HTMLElement | null} */ (frame()?.parentElement ?? null);
  const frame = () => /** @type {HTMLElement | null} */ (figure.querySelector("#placing-frame"));
  const on = () => way?.checked ?? false;
  const at = { left: 0, top: 0, width: 0, height: 0 };
  /** @type {{part: string, x: number, y: number, from: typeof at} | null} */
  let held = null;
  let told = 0;
  let last = 0;

  const read = () => {
    const given = frame();
    // An answer that was asked for before the hand's last move says where the frame was.
    if (!given || held || told) return;
    for (const key of /** @type {(keyof typeof at)[]} */ (Object.keys(at))) at[key] = Number(given.dataset[key]);
    lay();
  };

  const lay = () => {
    const [shown, over] = [plate(), frame()];
    if (!shown || !over) return;
    const seen = lies(shown);
    over.style.left = `${((at.left - seen.left) / seen.width) * 100}%`;
    over.style.top = `${((at.top - seen.top) / seen.height) * 100}%`;
    over.style.width = `${(at.width / seen.width) * 100}%`;
    over.style.height = `${(at.height / seen.height) * 100}%`;
    over.setAttribute("aria-label", words());
    const out = over.querySelector("output");
    // Written only when it differs: writing is a change of the figure, at which this is read again.
    if (out && out.textContent !== words()) out.textContent = words();
  };

  const unit = () => Number(frame()?.dataset.unitMm ?? 1);
  const said = (/** @type {number} */ mm) => numeral(Number((mm / unit()).toFixed(unit() > 1 ? 3 : 1)));
  const words = () => {
    const sides = { width: said(at.width), height: said(at.height), left: said(at.left), top: said(at.top) };
    return word("placed", { ...sides, unit: unit() > 1 ? "in" : "mm" });
  };

  /** Writes the place into the form, which plans again; not more often than the beat. */
  const tell = () => {
    clearTimeout(told);
    told = 0;
    const wait = last + BEAT - Date.now();
    if (wait > 0) return void (told = setTimeout(tell, wait));
    last = Date.now();
    const fields = { width: at.width, left: at.left, top: at.top };
    for (const [name, mm] of Object.entries(fields)) {
      const field = document.getElementById(`recipe-${name}`);
      if (field instanceof HTMLInputElement) field.value = said(mm);
    }
    // The hand's place takes the place of a remedy that centred the drawing.
    const centred = document.querySelector("#recipe-form [name=place]");
    if (centred instanceof HTMLInputElement) centred.value = "";
    document.getElementById("recipe-width")?.dispatchEvent(new InputEvent("input", { bubbles: true }));
  };

  const blank = () => {
    const shown = plate();
    return { width: Number(shown?.dataset.blankWidthMm), height: Number(shown?.dataset.blankHeightMm) };
  };

  /**
   * The place of a start so that start, middle or end lies on the blank's, when one is near.
   * @param {number} start @param {number} size @param {number} whole @param {number} near
   */
  const snapped = (start, size, whole, near) => {
    const step = unit() > 1 ? 25.4 / 16 : 1;
    const targets = [0, (whole - size) / 2, whole - size];
    const target = targets.find((target) => Math.abs(target - start) < near);
    return target ?? Math.round(start / step) * step;
  };

  const millimetres = () => {
    const shown = plate();
    return shown ? lies(shown).width / shown.getBoundingClientRect().width : 1;
  };

  /** @param {PointerEvent} event */
  const drag = (event) => {
    if (!held) return;
    const per = millimetres();
    const [dx, dy] = [(event.clientX - held.x) * per, (event.clientY - held.y) * per];
    const { width, height } = blank();
    if (held.part === "move") {
      const near = event.altKey ? 0 : NEAR * per;
      const place = (/** @type {number} */ start, /** @type {number} */ size, /** @type {number} */ whole) =>
        Math.min(Math.max(near ? snapped(start, size, whole, near) : start, Math.min(0, whole - size)), Math.max(0, whole - size));
      at.left = place(held.from.left + dx, at.width, width);
      at.top = place(held.from.top + dy, at.height, height);
    } else size(dx, dy, width, height);
    lay();
    tell();
  };

  /**
   * A corner is drawn; the opposite one stays.
   * @param {number} dx @param {number} dy @param {number} width @param {number} height
   */
  const size = (dx, dy, width, height) => {
    if (!held) return;
    const { from, part } = held;
    const [right, down] = [part.includes("right"), part.includes("bottom")];
    const grown = Math.max((right ? dx : -dx) / from.width, (down ? dy : -dy) / from.height);
    const room = [
      (right ? width - from.left : from.left + from.width) / from.width,
      (down ? height - from.top : from.top + from.height) / from.height,
    ];
    const factor = Math.min(Math.max(1 + grown, LEAST / from.width), ...room);
    at.width = from.width * factor;
    at.height = from.height * factor;
    at.left = right ? from.left : from.left + from.width - at.width;
    at.top = down ? from.top : from.top + from.height - at.height;
  };

  figure.addEventListener("pointerdown", (event) => {
    const over = frame();
    if (!on() || !over || !(event.target instanceof Element) || !over.contains(event.target)) return;
    event.preventDefault();
    over.setPointerCapture(event.pointerId);
    over.focus();
    const part = event.target.getAttribute("data-part") ?? "move";
    held = { part, x: event.clientX, y: event.clientY, from: { ...at } };
    over.classList.add("held");
  });
  figure.addEventListener("pointermove", drag);
  const release = () => {
    if (!held) return;
    held = null;
    frame()?.classList.remove("held");
    tell();
  };
  figure.addEventListener("pointerup", release);
  figure.addEventListener("pointercancel", release);
  figure.addEventListener("keydown", (event) => {
    if (!on() || event.target !== frame()) return;
    const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const grow = { "+": 1, "=": 1, "-": -1 }[event.key];
    if (!move && !grow) return;
    event.preventDefault();
    const far = event.shiftKey && move ? 10 : 1;
    if (move) {
      at.left += far * move[0];
      at.top += far * move[1];
    } else if (grow) {
      const factor = Math.max((at.width + grow) / at.width, 0.05);
      Object.assign(at, { width: at.width * factor, height: at.height * factor });
    }
    lay();
    tell();
  });
  for (const other of document.querySelectorAll("[name=way]")) other.addEventListener("change", read);
  new MutationObserver(read).observe(figure, { subtree: true, childList: true, attributeFilter: ["data-left", "data-top", "data-width", "data-height"] });
  read();
}

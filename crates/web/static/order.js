// Asks for an order where the page stands, follows one that is under way, and shows the page anew when it is over.

import { Refused, clear, key, say, send } from "./send.js";
import { typed } from "./words.js";

/** @param {HTMLFormElement} form */
export function ask(form) {
  form.addEventListener("input", () => delete form.dataset.key);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    clear(form);
    const given = new FormData(form);
    const table = given.get("names");
    const names = table instanceof File ? await read(table) : null;
    const layouts_s = typed(String(given.get("seconds")));
    // What cannot be said in JSON the form sends as it is, and the server says what is wrong with it.
    if (!(table instanceof File) || names === null || Number.isNaN(layouts_s)) return form.submit();
    form.dataset.key ??= key();
    const body = { key: form.dataset.key, table: table.name.slice(0, 80), names, layouts_s, ...fields(given) };
    try {
      location.assign((await send("POST", form.dataset.orders ?? "", body)).page);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(form, fault);
    }
  });
}

/**
 * The typed values, as the API takes them.
 * @param {FormData} given
 */
function fields(given) {
  const text = (/** @type {string} */ name) => String(given.get(name) ?? "").trim();
  const parts = text("fit").split(",").filter((part) => part.trim());
  const fit = parts.map((part) => {
    const [column, ...width] = part.split("=");
    return { column: column.trim(), width: width.join("=").trim() };
  });
  return { evening: text("evening"), setup: text("setup") || null, fit, gap: text("gap") };
}

/**
 * A table as text; nothing where it is not UTF-8, for a letter that is replaced would be carved.
 * @param {File} table
 */
async function read(table) {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await table.arrayBuffer());
  } catch {
    return null;
  }
}

/** @param {HTMLElement} wait */
export function order(wait) {
  const events = new EventSource(wait.dataset.events ?? "");
  const words = document.getElementById("order-words");
  const share = document.getElementById("order-share");
  events.addEventListener("at", (event) => {
    /** @type {{words: string, share: number, over: boolean}} */
    const told = JSON.parse(event.data);
    if (words && words.textContent !== told.words) words.textContent = told.words;
    if (share instanceof HTMLProgressElement) share.value = told.share;
    if (told.over) {
      events.close();
      location.reload();
    }
  });
  // To cancel leads back to the question; what is over by that is not shown in between.
  const form = wait.querySelector("form");
  form?.addEventListener("submit", async (event) => {
    event.preventDefault();
    events.close();
    try {
      await send("DELETE", wait.dataset.order ?? "");
      location.assign(wait.dataset.back ?? "");
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(form, fault);
    }
  });
  // The browser asks again by itself when the connection is lost; when there is no such order any more it gives up.
  addEventListener("pagehide", () => events.close());
}

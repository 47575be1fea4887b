// What a page changes is sent to the server's API, as any program would; without script its forms do the same.

import { word } from "./words.js";

/** A refusal, in words for people. */
export class Refused extends Error {
  /**
   * @param {string} words
   * @param {number} status 0 when nothing answered
   * @param {string} [at] key of the value that is wrong
   */
  constructor(words, status, at) {
    super(words);
    this.status = status;
    this.at = at;
  }
}

/**
 * Sends a change and gives what was answered.
 * @param {string} method
 * @param {string} address
 * @param {object} [body]
 * @param {Record<string, string>} [headers]
 * @throws {Refused}
 */
export async function send(method, address, body, headers = {}) {
  const language = { "accept-language": document.documentElement.lang };
  const kind = body ? { "content-type": "application/json" } : {};
  let answer;
  try {
    answer = await fetch(address, { method, headers: { ...language, ...kind, ...headers }, body: body && JSON.stringify(body) });
  } catch (fault) {
    throw new Refused(word("no_answer", { fault: String(fault) }), 0);
  }
  const is = answer.headers.get("content-type") ?? "";
  const told = is.includes("json") ? await answer.json() : { detail: await answer.text() };
  if (!answer.ok) throw new Refused(told.detail, answer.status, told.at);
  return told;
}

/** A key of its own for what is sent, so that what is sent again after a lost answer counts once. */
export const key = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");

/**
 * Says in a form what is wrong, at the control that it is about.
 * @param {HTMLFormElement} form
 * @param {Refused} refused
 */
export function say(form, refused) {
  clear(form);
  const place = document.createElement("p");
  place.className = "fault told";
  // As the server calls it where it says the same: stock-fault of stock-form.
  if (form.id) place.id = form.id.replace("-form", "-fault");
  place.setAttribute("role", "alert");
  place.textContent = refused.message;
  form.append(place);
  const control = refused.at ? form.elements.namedItem(refused.at) : null;
  if (control instanceof HTMLInputElement || control instanceof HTMLSelectElement) {
    control.setAttribute("aria-invalid", "true");
    control.focus();
  }
}

/** @param {HTMLFormElement} form */
export function clear(form) {
  for (const old of form.querySelectorAll(".fault.told")) old.remove();
  for (const control of form.querySelectorAll("[aria-invalid]")) control.removeAttribute("aria-invalid");
}

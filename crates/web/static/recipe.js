// Plans again at each change of the recipe and brings the page to the answer: coarsely at once, and in full when the
// hand rests; the server sends both as events of one answer. One question is under way at a time: a newer one takes
// its place, and an answer that comes too late is dropped.

import { settle } from "./settle.js";
import { shown, typed, word } from "./words.js";

/** @param {HTMLFormElement} form */
export function recipe(form) {
  let asked = new AbortController();

  /** @param {URLSearchParams} sent */
  const plan = async (sent) => {
    asked.abort();
    const question = (asked = new AbortController());
    document.body.classList.add("planning");
    const accept = form.hasAttribute("data-coarse") ? "text/event-stream" : "text/html";
    try {
      const answer = await fetch(form.dataset.try ?? "", {
        method: "POST",
        headers: { accept },
        body: sent,
        signal: question.signal,
      });
      const kind = answer.headers.get("content-type") ?? "";
      if (kind.startsWith("text/event-stream")) {
        for await (const told of events(answer)) if (!question.signal.aborted) take(told);
      } else {
        const text = await answer.text();
        const address = answer.ok ? answer.headers.get("content-location") : null;
        if (question.signal.aborted) return;
        take(kind.startsWith("text/html") ? { html: text, address, fault: null } : { html: null, address, fault: text });
      }
    } catch (fault) {
      if (question.signal.aborted) return;
      tell(form, word("no_answer", { fault: String(fault) }));
    }
    if (!question.signal.aborted) document.body.classList.remove("planning");
  };

  /** @param {{html: string | null, address: string | null, fault: string | null}} told */
  const take = ({ html, address, fault }) => {
    if (html) show(html);
    if (fault) tell(form, fault);
    history.replaceState(null, "", address ?? location.href);
    // The coarse answer is there: what follows only refines it.
    document.body.classList.remove("planning");
  };

  /** @param {HTMLButtonElement | null} [button] */
  const fields = (button) => {
    const sent = new URLSearchParams();
    for (const [name, value] of new FormData(form)) sent.append(name, String(value));
    if (button?.name) sent.append(button.name, button.value);
    return sent;
  };

  form.addEventListener("input", (event) => {
    const moved = event.target;
    if (moved instanceof HTMLInputElement && moved.type === "range") follow(form, moved);
    void plan(fields());
  });
  form.addEventListener("submit", (event) => {
    const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
    if (button?.hasAttribute("formaction")) return;
    event.preventDefault();
    // A remedy's button goes with its finding: what follows it is the new sum.
    const applied = button?.name === "remedy";
    void plan(fields(button)).then(() => applied && document.getElementById("summary")?.focus());
  });
  form.addEventListener("keydown", (event) => step(form, event));
  for (const slider of form.querySelectorAll("input[type=range]")) slider.removeAttribute("hidden");
}

/**
 * The events of an answer, as they come.
 * @param {Response} answer
 */
async function* events(answer) {
  const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  while (reader) {
    const { value, done } = await reader.read();
    if (done) return;
    text += value;
    const whole = text.split("\n\n");
    text = whole.pop() ?? "";
    for (const event of whole) {
      const data = event.split("\n").filter((line) => line.startsWith("data:"));
      if (data.length) yield JSON.parse(data.map((line) => line.slice(5)).join("\n"));
    }
  }
}

/**
 * The text field takes the slider's number.
 * @param {HTMLFormElement} form
 * @param {HTMLInputElement} slider
 */
function follow(form, slider) {
  const field = form.querySelector(`#${slider.dataset.for}`);
  if (field instanceof HTMLInputElement) field.value = shown(slider.value);
}

/**
 * Arrow keys step a number, ten times as far with the shift key.
 * @param {HTMLFormElement} form
 * @param {KeyboardEvent} event
 */
function step(form, event) {
  const field = event.target;
  const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
  if (!way || !(field instanceof HTMLInputElement) || field.type !== "text") return;
  const size = Number(field.dataset.step);
  const now = typed(field.value || field.placeholder);
  if (!size || Number.isNaN(now)) return;
  event.preventDefault();
  const next = Math.max(size, Math.round(now / size + way * (event.shiftKey ? 10 : 1)) * size);
  const number = String(Number(next.toPrecision(8)));
  field.value = shown(number);
  const slider = form.querySelector(`[data-for="${field.id}"]`);
  if (slider instanceof HTMLInputElement) slider.value = number;
  field.dispatchEvent(new InputEvent("input", { bubbles: true }));
}

/** @param {string} html */
function show(html) {
  const answer = new DOMParser().parseFromString(html, "text/html");
  for (const fresh of [...answer.body.children]) {
    const old = document.getElementById(fresh.id);
    if (old) settle(old, document.adoptNode(fresh));
  }
}

/**
 * @param {HTMLFormElement} form
 * @param {string} words
 */
function tell(form, words) {
  const place = form.querySelector("#recipe-message") ?? document.createElement("p");
  place.id = "recipe-message";
  place.className = "fault";
  place.setAttribute("role", "alert");
  place.textContent = words;
  form.append(place);
}

// The run at the cabinet: cautions, stages with a timer that follows the plan's air pattern, the log. Everything is
// kept on the tablet at once, so that a reload or a dead connection loses nothing.

import { cue, stayAwake } from "./cues.js";
import { send, waiting } from "./logs.js";
import { counted, word } from "./words.js";

const main = /** @type {HTMLElement} */ (document.getElementById("cabinet"));
const plan = JSON.parse(main.dataset.run ?? "{}");
const place = `sabulo-cabinet-${plan.piece}`;
const by = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const button = (/** @type {string} */ id) => /** @type {HTMLButtonElement} */ (by(id));
const NOW = { blast: word("now_blast"), rest: word("now_rest"), clear: word("now_clear") };
const NEXT = {
  blast: (/** @type {{left: string, long: string}} */ times) => word("next_blast", times),
  rest: (/** @type {{left: string, long: string}} */ times) => word("next_rest", times),
  clear: (/** @type {{left: string, long: string}} */ times) => word("next_clear", times),
};
const WHERE = { cautions: word("where_cautions"), gauge: word("where_gauge"), end: word("where_end") };

/** @returns {{key: string, revision: number, at: string | number, part: number, gone: number, since: number, started: string, stages: any[], events: any[]}} */
const fresh = () => ({
  key: crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`,
  revision: plan.revision,
  at: "cautions",
  part: 0,
  gone: 0,
  since: 0,
  started: new Date().toISOString(),
  stages: plan.stages.map((/** @type {{stage: number}} */ { stage }) => ({ stage, blast_s: 0, rest_s: 0 })),
  events: [],
});

let run = read() ?? fresh();

function read() {
  const kept = localStorage.getItem(place);
  const run = kept ? JSON.parse(kept) : null;
  // A plan with other stages is another run.
  return run && run.stages.length === plan.stages.length ? run : null;
}

const keep = () => localStorage.setItem(place, JSON.stringify(run));
const index = () => plan.stages.findIndex((/** @type {{stage: number}} */ { stage }) => stage === run.at);
const parts = () => plan.stages[index()]?.parts ?? [];
const part = () => parts()[run.part];
/** Seconds of this part that are gone. */
const gone = () => run.gone + (run.since ? (Date.now() - run.since) / 1000 : 0);

/** @param {number} seconds */
function clock(seconds) {
  const whole = Math.max(0, Math.ceil(seconds - 1e-6));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** Puts the seconds that ran into the log of the stage. */
function book() {
  if (!run.since) return;
  const stage = run.stages[index()];
  const seconds = (Date.now() - run.since) / 1000;
  if (stage && part()?.act === "blast") stage.blast_s += seconds;
  else if (stage) stage.rest_s += seconds;
  run.gone += seconds;
  run.since = 0;
}

function pause() {
  book();
  keep();
  show();
}

function go() {
  if (!part()) return;
  run.since = Date.now();
  void stayAwake();
  cue(part().act);
  keep();
  show();
}

/** @param {string | number} at */
function step(at) {
  book();
  Object.assign(run, { at, part: 0, gone: 0 });
  keep();
  show();
}

function nextStage() {
  if (index() < 0) return;
  const next = plan.stages[index() + 1];
  step(next ? next.stage : "gauge");
}

function tick() {
  const now = part();
  if (run.since && now && gone() >= now.seconds) {
    const over = gone() - now.seconds;
    const stage = run.stages[index()];
    // What ran beyond this part belongs to the next one.
    if (now.act === "blast") stage.blast_s += now.seconds - run.gone;
    else stage.rest_s += now.seconds - run.gone;
    Object.assign(run, { part: run.part + 1, gone: 0, since: part() ? Date.now() - over * 1000 : 0 });
    if (!part()) run.since = 0;
    cue(part()?.act ?? "end");
    keep();
    show();
  }
  count();
}

function count() {
  const now = part();
  const left = now ? now.seconds - gone() : 0;
  by("left").textContent = clock(left);
  const ring = main.querySelector(".ring");
  ring?.setAttribute("stroke-dasharray", `${now && now.seconds > 0 ? Math.max(0, left / now.seconds) : 0} 1`);
  const after = parts()[run.part + 1];
  const next = after ? NEXT[after.act]({ left: clock(left), long: clock(after.seconds) }) : word("next_none", { left: clock(left) });
  by("next").textContent = now ? next : word("time_up");
}

/** Brings the screen to where the run stands. */
function show() {
  for (const section of main.querySelectorAll("[data-step]")) {
    if (section instanceof HTMLElement) section.hidden = section.dataset.step !== String(run.at);
  }
  const staged = index() >= 0;
  by("timer").hidden = by("controls").hidden = !staged;
  main.classList.toggle("staged", staged);
  const act = part()?.act ?? "end";
  document.body.dataset.act = staged ? (run.since ? act : "held") : "";
  const begun = run.gone > 0 || run.part > 0;
  by("doing").textContent = !part() ? word("now_done") : run.since ? NOW[act] : begun ? word("now_held") : word("now_first");
  button("go").textContent = run.since ? word("go_pause") : begun ? word("go_on") : word("go_first");
  button("go").disabled = !part();
  by("where").textContent = staged ? word("where_stage", { stage: index() + 1, stages: plan.stages.length }) : WHERE[run.at];
  count();
  tell();
}

function tell() {
  const left = waiting().length;
  by("kept").textContent = left ? counted("logs_wait", left) : "";
}

const boxes = /** @type {HTMLInputElement[]} */ ([...main.querySelectorAll(".cautions input")]);
// A plan that stops is not begun.
const stopped = button("begin").hasAttribute("data-stopped");
const ticked = () => (button("begin").disabled = stopped || !boxes.every((box) => box.checked));
boxes.forEach((box) => box.addEventListener("change", ticked));
button("begin").addEventListener("click", () => {
  run.started = new Date().toISOString();
  step(plan.stages[0]?.stage ?? "gauge");
});
button("go").addEventListener("click", () => (run.since ? pause() : go()));
button("done").addEventListener("click", nextStage);

const trouble = /** @type {HTMLDialogElement} */ (by("trouble"));
button("wrong").addEventListener("click", () => {
  pause();
  trouble.showModal();
});
trouble.addEventListener("click", (event) => {
  if (!(event.target instanceof HTMLButtonElement)) return;
  run.events.push({ at_utc: new Date().toISOString(), stage: Number(run.at), what: event.target.value });
  keep();
  trouble.close();
});

by("gauge-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const per = Number(main.dataset.unitMm);
  const inputs = /** @type {HTMLInputElement[]} */ ([...main.querySelectorAll("[data-layer]")]);
  const depths = inputs.filter((input) => input.value !== "").map((input) => ({ layer: input.dataset.layer, depth_mm: Number(input.value) * per }));
  const resist = /** @type {HTMLSelectElement} */ (by("resist-state")).value || null;
  const { key, revision, started, stages, events } = run;
  send(plan.log, { key, revision: revision ?? null, started_utc: started, ended_utc: new Date().toISOString(), stages, events, depths, resist }).then(tell);
  step("end");
});
button("again").addEventListener("click", () => {
  run = fresh();
  boxes.forEach((box) => (box.checked = false));
  ticked();
  /** @type {HTMLFormElement} */ (by("gauge-form")).reset();
  keep();
  show();
});

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/cabinet/worker.js", { scope: "/cabinet/" }).then(async () => {
    const { active } = await navigator.serviceWorker.ready;
    const shown = performance.getEntriesByType("resource").map(({ name }) => name).filter((name) => new URL(name).origin === location.origin && !name.endsWith("worker.js"));
    const images = [...document.images].map(({ src }) => src);
    active?.postMessage({ keep: [...new Set([location.href, ...shown, ...images])] });
    navigator.serviceWorker.addEventListener("message", () => (main.dataset.kept = "yes"));
  }).catch(() => {
    // Without it the page works as long as it stays open.
  });
}

setInterval(tick, 200);
setInterval(() => send().then(tell), 30_000);
addEventListener("online", () => void send().then(tell));
void send().then(tell);
show();

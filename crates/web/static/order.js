// Follows an order that is under way, and shows the page anew when it is over.

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
  wait.querySelector("form")?.addEventListener("submit", () => events.close());
  // The browser asks again by itself when the connection is lost; when there is no such order any more it gives up.
  addEventListener("pagehide", () => events.close());
}

// What happens elsewhere in the shop, as it happens: server-sent events of the floor's own server, which follows the feed.

import { line } from "./line.js";

class Live extends EventTarget {
  #source = null;

  open() {
    this.close();
    this.#source = new EventSource("/floor/feed");
    this.#source.onmessage = (message) => {
      const news = JSON.parse(message.data);
      this.dispatchEvent(news.kind === "locked" ? new Event("locked") : new CustomEvent("news", { detail: news }));
    };
    // After a gap nobody knows what was missed: look again.
    this.#source.onopen = () => this.dispatchEvent(new CustomEvent("news", { detail: { kind: "began" } }));
  }

  close() {
    this.#source?.close();
    this.#source = null;
  }
}

export const live = new Live();

// Calls `look` when there is news that `concerns` it, or when what was not answered may be by now, while `element` is on the
// page; several at once are one look.
export function following(element, look, concerns = () => true) {
  let timer = null;
  const heard = (event) => {
    if (event.detail && !concerns(event.detail)) return;
    clearTimeout(timer);
    timer = setTimeout(() => element.isConnected && look(), 80);
  };
  live.addEventListener("news", heard);
  line.addEventListener("again", heard);
  return () => {
    live.removeEventListener("news", heard);
    line.removeEventListener("again", heard);
  };
}

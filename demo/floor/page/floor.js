// The screen: sign in, three rooms, and a line that says how the line is. Locks itself when it is not touched.

import { announce, button, h, redraw } from "./dom.js";
import { line } from "./line.js";
import { live } from "./live.js";
import "./mirror/mirror.js";
import "./board.js";
import "./counter.js";

const ROOMS = { mirror: ["Mirror", "mirror-room"], bench: ["Workroom", "work-board"], counter: ["Counter", "counter-room"] };
const TOUCHED_EVERY_MS = 15000;

class FloorScreen extends HTMLElement {
  #door = { staff: [], who: null };
  #picked = null;
  #code = "";
  #said = "";
  #touched = 0;
  #idle = null;
  #room = null;

  connectedCallback() {
    this.spoken = h("p", { id: "spoken", class: "spoken", role: "status" });
    this.bar = h("header", { class: "bar" });
    this.line = h("div", { class: "line-state", role: "status" });
    this.place = h("main", { id: "main" });
    this.append(this.bar, this.line, this.place, this.spoken);
    line.addEventListener("change", () => this.#drawLine());
    line.addEventListener("locked", () => this.#locked());
    line.addEventListener("sent", (event) => announce(`Sent: ${event.detail.entry.words}`));
    live.addEventListener("locked", () => this.#locked());
    for (const name of ["pointerdown", "keydown"]) addEventListener(name, () => this.#touch(), { capture: true, passive: true });
    addEventListener("keydown", (event) => this.#typed(event));
    addEventListener("hashchange", () => this.#open());
    this.#begin();
  }

  async #begin() {
    try {
      this.#door = (await line.get("/floor/door")).body;
      this.#said = "";
    } catch {
      this.#said = "The line is down. What was typed is kept.";
      setTimeout(() => this.#begin(), 3000);
    }
    this.#arrive();
  }

  #arrive() {
    line.who = this.#door.who;
    this.#code = "";
    if (!line.who) {
      live.close();
      return this.#drawDoor();
    }
    this.#touched = Date.now();
    this.#rest();
    live.open();
    line.flush();
    this.#room = null;
    this.#open();
  }

  #locked() {
    if (!line.who) return;
    this.#door.who = null;
    this.#said = "The tablet was locked. What was typed is kept.";
    this.#picked = line.who;
    this.#arrive();
  }

  async lock() {
    const who = line.who;
    this.#door.who = null;
    this.#picked = null;
    this.#said = "";
    this.#arrive();
    try {
      await line.ask("POST", "/floor/lock", {});
    } catch {
      this.#said = `The line is down: ${who} is signed out here, and on the server once it was idle for long enough.`;
      this.#drawDoor();
    }
  }

  // Whoever touches the tablet keeps it open; the server hears of it now and then, and counts for itself.
  #touch() {
    if (!line.who) return;
    this.#rest();
    if (Date.now() - this.#touched > TOUCHED_EVERY_MS) {
      this.#touched = Date.now();
      line.ask("POST", "/floor/here", {}).then((answer) => { if (answer.body.who !== line.who) this.#locked(); }, () => {});
    }
  }

  #rest() {
    clearTimeout(this.#idle);
    this.#idle = setTimeout(() => this.lock(), this.#door.lock_seconds * 1000);
  }

  // ------------------------------------------------------------------ the door

  #drawDoor() {
    this.bar.replaceChildren(h("h1", {}, "The floor"));
    this.#room = null;
    this.#drawLine();
    const staff = this.#door.staff;
    const digit = (each) => button(String(each), () => this.#digit(String(each)), { class: "key" });
    redraw(this.place, h("section", { class: "door", "aria-label": "Sign in" },
      h("h2", {}, this.#picked ? `${this.#picked}: your code` : "Who is it?"),
      h("div", { class: "who" }, staff.map((each) => button(each, () => this.#pick(each), { "aria-pressed": String(each === this.#picked) }))),
      this.#picked && h("div", { class: "code", tabindex: "-1", "data-at": "code" },
        h("p", { class: "dots", role: "status", "aria-label": `${this.#code.length} digits` }, "●".repeat(this.#code.length) || "–"),
        h("div", { class: "keys" }, [1, 2, 3, 4, 5, 6, 7, 8, 9].map(digit),
          button("Clear", () => { this.#code = ""; this.#drawDoor(); }, { class: "key" }), digit(0),
          button("Open", () => this.#signIn(), { class: "key first", disabled: this.#code.length < 4 }))),
      h("p", { class: "wrong", role: "alert" }, this.#said)));
  }

  #pick(who) {
    this.#picked = who;
    this.#code = "";
    this.#said = "";
    this.#drawDoor();
    this.place.querySelector(".code").focus();
  }

  #digit(digit) {
    this.#code = (this.#code + digit).slice(0, 8);
    this.#drawDoor();
  }

  #typed(event) {
    if (line.who || !this.#picked || event.ctrlKey || event.metaKey || event.altKey) return;
    if (/^[0-9]$/.test(event.key)) this.#digit(event.key);
    else if (event.key === "Backspace") { this.#code = this.#code.slice(0, -1); this.#drawDoor(); }
    else if (event.key === "Enter" && this.#code.length >= 4 && document.activeElement?.tagName !== "BUTTON") this.#signIn();
  }

  async #signIn() {
    try {
      const answer = await line.ask("POST", "/floor/sign-in", { who: this.#picked, code: this.#code });
      Object.assign(this.#door, answer.body);
      this.#picked = null;
      this.#said = "";
      this.#arrive();
    } catch (problem) {
      this.#code = "";
      this.#said = problem.message;
      this.#drawDoor();
    }
  }

  // ------------------------------------------------------------------ the rooms

  #open() {
    if (!line.who) return;
    const [asked, ...rest] = location.hash.slice(1).split("/");
    const usual = this.#door.benches.length ? "bench" : "mirror";
    const name = asked in ROOMS ? asked : usual;
    if (name !== this.#room?.name) {
      const place = document.createElement(ROOMS[name][1]);
      place.member = { who: line.who, admin: this.#door.admin, benches: this.#door.benches };
      this.#room = { name, place };
      place.goTo?.(rest);
      this.place.replaceChildren(place);
    } else this.#room.place.goTo?.(rest);
    this.bar.replaceChildren(h("h1", { class: "spoken" }, `The floor: ${ROOMS[name][0]}`),
      h("nav", { "aria-label": "Rooms" }, Object.entries(ROOMS).map(([each, [words]]) =>
        h("a", { href: `#${each}`, "aria-current": each === name ? "page" : undefined }, words))),
      h("span", { class: "me" }, line.who), button("Lock", () => this.lock(), { class: "quiet" }));
    this.#drawLine();
  }

  #drawLine() {
    const queue = line.queue;
    const waiting = queue.filter((each) => !each.refused);
    const mine = waiting.filter((each) => each.by === line.who);
    const others = [...new Set(waiting.filter((each) => each.by !== line.who).map((each) => each.by))];
    const refused = queue.filter((each) => each.refused && each.by === line.who);
    this.line.classList.toggle("down", line.down);
    redraw(this.line,
      line.down && h("strong", {}, "The line is down. "),
      mine.length > 0 && line.down && h("span", {}, `${mine.length} kept here, sent when it is back: ${mine.map((each) => each.words).join("; ")}. `),
      line.down && mine.length === 0 && h("span", {}, "What you type is kept here. "),
      others.length > 0 && h("span", {}, `Kept until they sign in: ${others.join(", ")}. `),
      refused.map((each) => h("p", { class: "wrong" }, `Not done: ${each.words}. ${each.refused} `,
        button("Seen, take it away", () => line.discard(each.key), { "data-at": each.key }))));
  }
}

customElements.define("floor-screen", FloorScreen);

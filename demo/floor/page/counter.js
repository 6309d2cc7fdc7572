// At the counter: a slip is scanned or an order found; today's promises; questions of the workroom; the calendar; prices.

import { button, h, redraw } from "./dom.js";
import { drawCalendar } from "./counter-calendar.js";
import { drawPrices } from "./counter-prices.js";
import { line, LineDown, Locked } from "./line.js";
import { following } from "./live.js";
import { sheetIn } from "./order-sheet.js";
import { camera, findOrder, wedge } from "./scan.js";
import { day, STATE } from "./wording.js";

const PARTS = { today: "Today", calendar: "Calendar", prices: "Prices" };

class CounterRoom extends HTMLElement {
  connectedCallback() {
    this.className = "counter";
    this.strip = h("div", { class: "strip" });
    this.place = h("div", {});
    this.replaceChildren(this.strip, this.place);
    this.tab ??= "today";
    this.said = "";
    this.found = null;
    // The lists of today change by what the feed tells.
    this.stops = [following(this, () => this.load(), (news) => this.tab !== "today" || news.kind !== "changed_here"), wedge(this, (code) => this.search(code))];
    this.load();
  }

  disconnectedCallback() {
    this.stops.forEach((each) => each());
  }

  goTo([part, id]) {
    this.tab = part in PARTS ? part : "today";
    this.open = part === "order" ? id : null;
    this.said = "";
    if (!this.isConnected) return;
    // A sheet that is closed is gone at once, however long the lists take.
    this.draw();
    this.load();
  }

  async load() {
    try {
      // Under an open sheet nothing is seen of it; it is asked for when the sheet is closed.
      if (this.open) return this.draw();
      if (this.tab === "today") await this.#loadToday();
      else if (this.tab === "calendar") await this.loadCalendar();
      else await this.loadPrices();
      this.failed = "";
    } catch (problem) {
      if (problem instanceof Locked) return;
      this.failed = problem instanceof LineDown ? "" : problem.message;
    }
    this.draw();
  }

  async #loadToday() {
    const promised = (on) => line.get(`/v1/orders?promised_for=${on}&limit=100`);
    // Of the day that was today when it was asked last; all is asked side by side.
    const [counts, early, asked, waiting] = await Promise.all([line.get("/v1/orders/counts"), this.day && promised(this.day), line.get("/v1/orders?state=query&limit=100"), line.get("/v1/orders/waiting?days=1")]);
    const today = counts.body.day === this.day ? early : await promised(counts.body.day);
    Object.assign(this, { day: counts.body.day, today: today.body.orders, more: Boolean(today.next), asked: asked.body.orders, waiting: waiting.body.orders });
  }

  async loadCalendar() {
    const from = (await line.get("/v1/orders/counts")).body.day;
    const to = new Date(`${from}T12:00:00Z`);
    to.setUTCDate(to.getUTCDate() + 13);
    const [days, risk] = await Promise.all([line.get(`/v1/workroom/days?from=${from}&to=${to.toISOString().slice(0, 10)}`), line.get("/v1/workroom/orders-at-risk")]);
    Object.assign(this, { days: days.body.days, daysTag: days.etag, risk: risk.body.orders });
  }

  async loadPrices() {
    if (this.listChanged) return;
    const [list, work] = await Promise.all([line.get("/v1/price-list?units=in"), line.kept("/v1/alterations?units=in&view=short")]);
    // What was typed while it came stays.
    if (this.listChanged) return;
    Object.assign(this, { list: list.body, listTag: list.etag, work: work.body.alterations });
  }

  // A number, a slip's address, a customer or a sale: whichever finds something.
  async search(words) {
    const asked = words.trim();
    if (!asked) return;
    try {
      const one = asked.includes("://") || /^[0-9]+(\/[0-9]+)?$/.test(asked) ? await findOrder(asked) : null;
      if (one) {
        location.hash = `counter/order/${one.id}`;
        return;
      }
      const by = (name) => line.get(`/v1/orders?${name}=${encodeURIComponent(asked)}&limit=50`).then((answer) => answer.body.orders);
      const [customer, sale] = await Promise.all([by("customer_ref"), by("sale_ref")]);
      const all = [...customer, ...sale].filter((each, at, list) => list.findIndex((other) => other.id === each.id) === at);
      if (all.length === 1) location.hash = `counter/order/${all[0].id}`;
      else Object.assign(this, { found: { asked, orders: all }, said: all.length ? "" : `Nothing is found for ${asked}.` });
    } catch (problem) {
      this.said = problem.message;
    }
    this.draw();
  }

  async change(words, method, path, body, ifMatch) {
    try {
      const answer = await line.send(words, method, path, body, { ifMatch });
      this.said = `Done: ${words}.`;
      await this.load();
      return answer;
    } catch (problem) {
      this.said = problem.problem ? problem.message : `Kept on this tablet: ${words}. It is sent when the line is back.`;
      this.draw();
      return null;
    }
  }

  draw() {
    const searched = (event) => { event.preventDefault(); const field = event.target.querySelector("input"); this.search(field.value); field.value = ""; };
    const part = { today: () => this.#today(), calendar: () => drawCalendar(this), prices: () => drawPrices(this) }[this.tab];
    redraw(this.strip,
        h("div", { class: "doing" }, h("form", { onsubmit: searched, role: "search" }, h("label", {}, "Slip, number, customer or sale ", h("input", { type: "text", maxlength: 200, "data-at": "search", autocomplete: "off" })), h("button", { type: "submit", class: "first" }, "Find")),
          camera((code) => this.search(code)),
          Object.entries(PARTS).map(([name, words]) => button(words, () => { location.hash = `counter/${name}`; }, { "aria-current": name === this.tab && !this.open ? "page" : undefined }))),
        (this.failed || this.said) && h("p", { class: !this.failed && this.said.startsWith("Done") ? "done" : "wrong", role: "alert" }, this.failed || this.said));
    if (this.open) return sheetIn(this.place, this.open, "counter", this.member, () => { location.hash = "counter"; });
    return redraw(this.place, part());
  }

  #today() {
    if (!this.today) return h("p", {}, line.down ? "It comes when the line is back." : "Fetching…");
    const listed = (words, orders, none) => h("section", { class: "column" }, h("h2", {}, `${words} (${orders.length})`),
      orders.length ? h("ul", {}, orders.map((each) => h("li", {}, button([h("strong", { class: "number" }, each.number), h("span", {}, ` ${STATE[each.state]}`), h("span", { class: "foot" }, [each.customer_ref, each.sale_ref, each.days !== undefined && `waiting ${each.days} days`, !each.days && each.promised_for && `for ${day(each.promised_for)}`].filter(Boolean).join(" · "))],
        () => { location.hash = `counter/order/${each.id}`; }, { class: "card", "data-at": `${words} ${each.number}` })))) : h("p", { class: "how" }, none));
    return h("div", { class: "columns" },
      this.found?.orders.length > 0 && listed(`Found for ${this.found.asked}`, this.found.orders, ""),
      listed("Promised for today", this.today, "Nothing is promised for today."), this.more && h("p", { class: "slip" }, "More than a hundred are promised for today; find the others by number."),
      listed("The workroom asks", this.asked, "No question is open."), listed("Ready and waiting", this.waiting, "Nothing is waiting to be collected."));
  }
}

customElements.define("counter-room", CounterRoom);

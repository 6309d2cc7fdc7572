// The workroom's calendar: what is free at each bench on each day, closures, and orders whose minutes fell away.

import { button, h } from "./dom.js";
import { day, STATE } from "./wording.js";

export function drawCalendar(room) {
  if (!room.days) return h("p", {}, "Fetching…");
  const benches = ["trousers", "jackets", "finishing"];
  const of = (each, bench) => each.benches.find((one) => one.bench === bench);
  return h("div", { class: "calendar" },
    room.closing && h("form", { class: "asking", onsubmit: (event) => { event.preventDefault(); shut(room, true); } },
      h("h3", {}, `Close ${day(room.closing.date)}`), h("p", {}, "Orders booked on that day are then at risk, and are promised for another day."),
      h("label", {}, "Why? ", h("input", { type: "text", maxlength: 80, required: true, value: room.closing.reason, "data-at": "closing", oninput: (event) => { room.closing.reason = event.target.value; } })),
      h("div", { class: "doing" }, h("button", { type: "submit", class: "first" }, "Close the day"), button("Leave it", () => { room.closing = null; room.draw(); }))),
    h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Free minutes" },
      h("table", {}, h("caption", {}, "Minutes that are still free, of all"), h("thead", {}, h("tr", {}, ["Day", ...benches, ""].map((each) => h("th", { scope: "col" }, each || h("span", { class: "spoken" }, "Open or closed"))))),
        h("tbody", {}, room.days.map((each) => h("tr", { class: each.closed ? "shut" : "" }, h("th", { scope: "row" }, day(each.date)),
          each.closed ? h("td", { colspan: "3" }, `Closed${each.reason ? `: ${each.reason}` : ""}`) : benches.map((bench) => {
            const at = of(each, bench);
            return h("td", {}, at ? [h("strong", {}, String(at.free)), ` of ${at.minutes}`, at.short > 0 && h("strong", { class: "late" }, ` ${at.short} short`)] : "–");
          }),
          h("td", {}, each.closed ? button("Open it", () => { room.closing = each; shut(room, false); }, { "data-at": `open ${each.date}`, "aria-label": `Open ${day(each.date)}` })
            : button("Close", () => { room.closing = { ...each, reason: "" }; room.draw(); room.querySelector('[data-at="closing"]')?.focus(); }, { "data-at": `close ${each.date}`, "aria-label": `Close ${day(each.date)}` }))))))),
    h("section", {}, h("h2", {}, `Orders at risk (${room.risk.length})`),
      room.risk.length === 0 ? h("p", { class: "how" }, "Every promise can be kept.") : [
        h("ul", {}, room.risk.map((each) => h("li", {}, button(`${each.number} ${STATE[each.state]}, promised for ${day(each.promised_for)}: ${each.shortages.map((one) => `${one.minutes} min short at ${one.bench} on ${day(one.day)}`).join("; ")}`,
          () => { location.hash = `counter/order/${each.id}`; }, { class: "card" })))),
        button("Promise them anew", () => promiseAgain(room), { class: "first" })]),
    room.promised && h("section", { role: "status" }, h("h2", {}, "Promised anew"), h("ul", {}, room.promised.map((each) =>
      h("li", {}, `${each.number}: ${day(each.promised_before)} → ${day(each.promised_for)}${each.too_late ? ", later than they need it: tell them" : ""}`)))));
}

async function shut(room, closed) {
  const { date, reason } = room.closing;
  room.closing = null;
  const body = closed ? { closed: true, reason } : { closed: false };
  await room.change(closed ? `${day(date)} is closed` : `${day(date)} is open`, "PUT", `/v1/workroom/days/${date}`, body, room.daysTag);
}

async function promiseAgain(room) {
  const answer = await room.change("orders at risk promised anew", "POST", "/v1/workroom/promises", { reason: "their minutes fell away" });
  room.promised = answer?.body.orders ?? null;
  room.draw();
}

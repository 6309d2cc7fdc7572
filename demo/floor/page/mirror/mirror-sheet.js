// Everything of the order on one sheet, priced as it would be booked; held to place.

import { announce, button, choices, h, holdButton } from "../dom.js";
import { line } from "../line.js";
import { recordSet } from "./mirror.js";
import { groupPanel, keepInGroup, placedGroup } from "./mirror-group.js";
import { joinedSaid, joiningAsked, joiningPanel } from "./mirror-joining.js";
import { showPaper } from "../papers.js";
import { capital, count, day, GARMENT, money, plain, SIDE, stepped } from "../wording.js";

export function drawSheet(room) {
  const { fitting } = room;
  if (room.placed?.orders) return placedGroup(room.placed, () => leave(room));
  if (room.placed) return placedPanel(room);
  room.afterCheck = () => quote(room);
  const { check } = fitting;
  const problem = !Object.keys(fitting.worn).length ? "No garment is on yet: go to Advice." : !check && !fitting.seen.length ? "Nothing was checked: go to Look." : "";
  const changed = () => { fitting.keep(); room.draw(); quote(room); };
  const quoted = room.quoted;
  const may = !problem && (line.down || (fitting.judged && quoted && !quoted.said));
  return h("section", { class: "sheet", "aria-label": "The order's sheet" },
    groupPanel(room),
    joiningPanel(room),
    h("div", { class: "paper" },
      h("h2", {}, "Order sheet"), h("p", {}, `For ${fitting.customer}. By ${room.member.who}.`),
      h("label", {}, "Sale on the till ", h("input", { type: "text", maxlength: 64, value: fitting.sale, "data-at": "sale", onchange: (event) => { fitting.sale = event.target.value.trim(); changed(); } })),
      h("ul", {}, Object.entries(fitting.worn).map(([garment, label]) => h("li", {}, h("strong", {}, `${GARMENT[garment]} ${label}`),
        fitting.cloth ? `, ${fitting.cloth}` : "", `, ${count(fitting.pinsLeft[garment], "pin")} in`))),
      h("div", { class: "quoted" }, quotedLines(room)),
      h("label", {}, "Note for the bench ", h("input", { type: "text", maxlength: 200, value: fitting.note, "data-at": "note", onchange: (event) => { fitting.note = event.target.value; changed(); } }))),
    h("div", { class: "terms" },
      quoted?.earliest && h("p", {}, "Earliest ", h("strong", {}, day(quoted.earliest)), quoted.earliest_rush ? `; as a rush ${day(quoted.earliest_rush)}` : ""),
      !fitting.joins && [h("label", {}, "Wanted by ", h("input", { type: "date", value: fitting.neededBy, "data-at": "needed", onchange: (event) => { fitting.neededBy = event.target.value; changed(); } })),
      choices("How soon", [["usual", "in its turn"], ["rush", "rush"]], fitting.rush ? "rush" : "usual", (how) => { fitting.rush = how === "rush"; changed(); })],
      quoted?.total && h("p", { class: "big" }, money(quoted.total)), quoted?.deposit?.minor > 0 && h("p", {}, `Deposit ${money(quoted.deposit)}`),
      problem && h("p", { class: "slip" }, problem),
      line.down && h("p", { class: "slip" }, "The line is down: held now, it is kept here and placed once when the line is back. The day is known then."),
      holdButton(fitting.joins ? "Hold to join the group" : "Hold to place", () => place(room), { disabled: !may, "data-at": "hold" }),
      !fitting.joins && button("One of a group: keep this and go on", () => keepInGroup(room, () => leave(room)), { disabled: !(may && fitting.judged), "data-at": "keep in group" }),
      joiningAsked(room),
      button("Leave this fitting", () => leave(room), { class: "quiet" })));
}

function quotedLines(room) {
  const { fitting, quoted } = room;
  if (line.down) return [h("p", {}, "Priced when the line is back."), ...fitting.seen.map((each) =>
    h("p", { class: "work" }, `${plain(each.point)}${each.side ? `, ${SIDE[each.side]}` : ""}: ${each.seen ? plain(each.seen) : stepped(each.steps, each.unit)}`))];
  if (!quoted) return [fitting.judged && h("p", {}, "Pricing…")];
  if (quoted.said) return [h("p", { class: "wrong" }, quoted.said)];
  return [
    h("table", {}, h("thead", {}, h("tr", {}, ["Line", "Work", "Amount", "To", "Price"].map((each) => h("th", { scope: "col" }, each)))),
      h("tbody", {}, quoted.lines.map((each) => h("tr", {}, h("td", {}, String(each.number)),
        h("td", {}, each.words, each.side ? `, ${SIDE[each.side]}` : "", each.subject_to_inlay ? ", if the inlay allows" : "", each.note ? ` (${each.note})` : ""),
        h("td", { class: "measure" }, each.amount?.text ?? ""), h("td", { class: "measure" }, each.to_be_pinned ? "NOT PINNED" : each.target?.text ?? ""), h("td", {}, money(each.price)))))),
    ...quoted.warnings.map((each) => h("p", { class: "slip" }, each.text)),
    quoted.to_look_at?.length > 0 && h("div", {}, h("h3", {}, "Only estimated: take it up if you have seen it"),
      quoted.to_look_at.map((each) => button(`${capital(each.words)} ${money(each.price)}`, () => {
        fitting.takeUp = fitting.takeUp.includes(each.alteration) ? fitting.takeUp.filter((other) => other !== each.alteration) : [...fitting.takeUp, each.alteration];
        fitting.keep();
        quote(room);
      }, { "aria-pressed": String(fitting.takeUp.includes(each.alteration)) })))];
}

async function quote(room) {
  const { fitting } = room;
  if (!fitting.judged || line.down || fitting.step !== "sheet") return;
  const asked = (room.quoting = Symbol("quote"));
  try {
    const answer = await line.ask("POST", "/v1/alteration-quotes?units=in", fitting.sheet);
    if (asked !== room.quoting) return;
    room.quoted = answer.body;
  } catch (problem) {
    if (asked !== room.quoting) return;
    room.quoted = { said: problem.message };
  }
  room.draw();
}

async function place(room) {
  const { fitting } = room;
  await recordSet(room);
  const sheet = { ...fitting.sheet, customer_ref: fitting.customer, ...(fitting.sale ? { sale_ref: fitting.sale } : {}), ...(fitting.note ? { note: fitting.note } : {}) };
  // Without a judgement of what is typed now, it is asked for first: both wait in the queue, and the order takes its id.
  const first = fitting.judged ? null : { words: `fit check of ${fitting.customer}`, method: "POST", path: "/v1/fit-checks", body: fitting.checkAsked };
  try {
    const path = fitting.joins ? `/v1/order-groups/${fitting.joins.id}/members` : "/v1/orders";
    const answer = await line.send(`order of ${fitting.customer}`, "POST", path, sheet, { first, fills: "from_fit_check" });
    room.placed = { ...answer.body, joined: fitting.joins };
    announce(`Order ${answer.body.number} is placed`);
  } catch (problem) {
    if (problem.problem) {
      room.quoted = { said: problem.message };
      return room.draw();
    }
    room.placed = { kept: true };
  }
  room.leavePlaced = true;
  fitting.begin();
  fitting.step = "sheet";
  room.draw();
}

function placedPanel(room) {
  const { placed } = room;
  const next = () => leave(room);
  if (placed.kept) {
    return h("section", { class: "sheet" }, h("h2", {}, "Kept. It is placed once, when the line is back."), h("p", {}, "Its number and day are known then."), button("Next customer", next, { class: "first" }));
  }
  return h("section", { class: "sheet placed" }, h("h2", {}, `Order ${placed.number}`),
    h("p", { class: "big" }, `Promised for ${day(placed.promised_for)}`), h("p", {}, `${money(placed.total)}; ${placed.lines.length} lines, ${placed.minutes} minutes`),
    placed.joined && joinedSaid(placed, placed.joined),
    placed.warnings.map((each) => h("p", { class: "slip" }, each.text)),
    h("div", { class: "doing" }, button("Their slip", () => showPaper(`/v1/orders/${placed.id}/customer-slip`, `Slip ${placed.number}`)),
      button("Ticket and tags", () => showPaper(`/v1/orders/${placed.id}/ticket`, `Ticket ${placed.number}`)),
      button("Next customer", next, { class: "first" })));
}

function leave(room) {
  room.fitting.begin();
  Object.assign(room, { placed: null, quoted: null, advice: null, warnings: [], spot: null, hand: null, groupProblem: "", joinProblem: "", hemsShown: undefined, leg: "left", at: "chest_girth", field: "value", said: "" });
  room.go("tape");
}

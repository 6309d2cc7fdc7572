// The looking order on the worn suit: a right point is one tap; what is wrong is a look, or an amount in steps.

import { button, choices, h, redraw } from "../dom.js";
import { markIcon, spots, VIEWS } from "./figure.js";
import { line } from "../line.js";
import { lookDrawing } from "./looks.js";
import { bring } from "./mirror-advice.js";
import { capital, day, inHundred, money, plain, SIDE, sizes, stepped, stepsOf, WORK, workLine } from "../wording.js";

const DECISION = { keep: "Keep it", alter: "Alter it", swap: "Bring another", undecided: "Your eye decides" };
const CHOICE = { keep_as_is: "keep as it is", alter: "alter", swap_up: "size up", swap_down: "size down", other_length: "other length", other_drop: "other drop", swap_advised: "swap, as advised" };
const CAUSES = 3;

export async function loadPoints(room) {
  const [points, charts, work] = await Promise.all([line.kept("/v1/fit-points?units=in"), line.kept("/v1/charts"), line.kept("/v1/alterations?units=in&view=short")]);
  for (const each of work.body.alterations) WORK[each.alteration] = each.words;
  room.points = points.body.fit_points;
  room.tryOn = points.body.try_on;
  const own = charts.body.charts.map((each) => each.chart).filter((each) => !each.startsWith("reference"));
  room.charts = own;
}

const same = (one, other) => one && other && one.point.point === other.point.point && one.side === other.side;

function verdictOf(room, spot) {
  const told = room.fitting.of(spot.point.point, spot.side);
  if (!told) return { mark: "none", words: "not looked at" };
  const judged = room.fitting.check?.verdicts?.find((each) => each.point === spot.point.point && (spot.side === null || each.side === spot.side || each.side === null || each.side === "both"));
  const words = `${told.steps === undefined ? plain(told.seen) : stepped(told.steps, told.unit)}${told.odd ? `, ${SIDE[told.odd]}` : ""}`;
  if (!judged || judged.verdict === "not_judged") return { mark: "kept", words };
  const verdict = judged.watch ? "still worn" : plain(judged.verdict);
  return { mark: judged.watch ? "watch" : judged.verdict, words: words === verdict ? words : `${words}: ${verdict}` };
}

export function drawLook(room) {
  const { fitting } = room;
  if (!Object.keys(fitting.worn).length) {
    return h("section", {}, h("h2", {}, "Nothing on yet"), h("p", {}, "Choose what they try on, at Advice."), button("Advice", () => room.go("advice"), { class: "first" }));
  }
  if (!room.points) return h("section", {}, h("h2", {}, "The fit points are not here yet"), h("p", {}, "They come when the line is back."));
  const all = room.points.filter((each) => fitting.worn[each.garment]).flatMap(spots);
  const order = all.filter((each) => each.point.core || fitting.of(each.point.point, each.side) || room.every);
  room.spot = order.find((each) => same(each, room.spot)) ?? order.find((each) => !fitting.of(each.point.point, each.side)) ?? order[0];
  const view = room.spot.view;
  const take = (spot) => { room.spot = spot; room.draw(); };
  const on = (what, sides = alike(room) ? ["left", "right"] : [room.spot.side]) => {
    fitting.see(room.spot.point.point, sides, what);
    const after = order.slice(order.findIndex((each) => same(each, room.spot)) + 1);
    if (what?.seen) room.spot = after.find((each) => !fitting.of(each.point.point, each.side)) ?? room.spot;
    room.draw();
    room.listen();
  };
  const figure = room.querySelector("fit-figure") ?? document.createElement("fit-figure");
  figure.show({ view, spots: all, markOf: (spot) => verdictOf(room, spot), chosen: room.spot, ontake: take, waistcoat: Boolean(fitting.worn.waistcoat) });
  const worn = Object.entries(fitting.worn).map(([garment, label]) => `${garment} ${label}`).join(", ");
  return h("section", { class: "look", "aria-label": "Look" },
    h("div", { class: "figure-side" },
      choices("From", Object.entries(VIEWS), view, (other) => take(all.find((each) => each.view === other && !fitting.of(each.point.point, each.side)) ?? all.find((each) => each.view === other))),
      figure, h("p", { class: "how" }, `On: ${worn}. L and R are theirs.`)),
    h("div", { class: "point-side" }, pointPanel(room, on), verdictPanel(room)),
    h("div", { class: "order-side" }, h("h3", { id: "looking-order" }, `Order of checking: ${order.filter((each) => fitting.of(each.point.point, each.side)).length} of ${order.length}`),
      h("ol", { class: "points", "data-scroll": "points", "aria-labelledby": "looking-order", tabindex: "0" }, order.map((each) => {
        const { mark, words } = verdictOf(room, each);
        const name = `${each.point.words}${each.side ? `, ${SIDE[each.side]}` : ""}`;
        return h("li", {}, button([markIcon(mark), h("span", {}, name), h("em", {}, mark === "none" ? "" : words)], () => take(each),
          { "aria-current": same(each, room.spot) ? "true" : undefined, "data-at": `point ${each.point.point} ${each.side}` }));
      })),
      button(room.every ? "Only the main points" : "Every point", () => { room.every = !room.every; room.draw(); }, { class: "quiet" })));
}

// What is usually the same on both sides is told of both, until the fitter says one side.
const alike = (room) => Boolean(room.spot.side) && (room.alike?.[room.spot.point.point] ?? (room.spot.point.sides === "either" ? "both" : "one")) === "both";

function pointPanel(room, on) {
  const { fitting, spot } = room;
  const { point, side } = spot;
  const told = fitting.of(point.point, side);
  const unit = room.lookUnit ?? "in";
  const at = told?.steps ?? (point.band?.right ? stepsOf(point.band.right.mm, unit) : 0);
  const odd = point.sides === "odd_one" ? (told?.odd ?? room.odd ?? "left") : null;
  const wrong = (what) => on(odd ? { ...what, odd } : what);
  const step = (by) => wrong({ steps: at + by, unit });
  return h("div", { class: "point" },
    h("h2", {}, capital(point.words), side && `, ${SIDE[side]}`),
    h("p", { class: "how" }, point.how),
    h("div", { class: "doing" },
      button("Right", () => on({ seen: "right" }), { class: "first right", "data-at": "right" }),
      side && !alike(room) && button("Both right", () => on({ seen: "right" }, ["left", "right"]), { "data-at": "both right" }),
      button("Undo", () => { fitting.undo(); room.draw(); room.listen(); }, { disabled: !fitting.before.length })),
    side && choices("Sides", [["one", SIDE[side]], ["both", "both alike"]], alike(room) ? "both" : "one", (which) => { (room.alike ??= {})[point.point] = which; room.draw(); }),
    odd && choices("Which side", [["left", "their left"], ["right", "their right"]], odd, (other) => {
      room.odd = other;
      if (told?.odd) on({ ...told, odd: other });
      else room.draw();
    }),
    h("div", { class: "looks", role: "group", "aria-label": "What is seen" }, point.appearances.filter((each) => each.seen !== "right").map((each) =>
      button([lookDrawing(each.seen, each.verdict), h("span", {}, plain(each.seen))], () => wrong({ seen: each.seen }),
        { class: "seen", "aria-pressed": String(told?.seen === each.seen), "data-at": `seen ${each.seen}` }))),
    point.band && h("div", { class: "amount", role: "group", "aria-label": `${capital(point.amount)}, by amount` },
      button("−", () => step(-1), { class: "key", "aria-label": "one step less", "data-at": "less" }),
      h("output", {}, h("strong", {}, stepped(at, unit)), ` ${point.amount}`, told?.steps === undefined && " (right is shown)"),
      button("+", () => step(1), { class: "key", "aria-label": "one step more", "data-at": "more" }),
      choices("Steps in", [["in", "⅛ in"], ["cm", "½ cm"]], unit, (other) => { room.lookUnit = other; room.draw(); })));
}

// ------------------------------------------------------------------ what follows

export function verdictPanel(room) {
  const { check } = room.fitting;
  const stale = room.fitting.seen.length > 0 && !room.fitting.judged;
  const place = h("div", { class: "verdict", "aria-label": "What follows", role: "region" });
  if (!check || (stale && line.down)) {
    redraw(place, h("p", {}, line.down ? "Kept here; it is judged when the line is back." : room.fitting.seen.length ? "Judging…" : "Nothing seen yet."));
    return place;
  }
  const way = check.comparison.find((each) => each.advised) ?? check.comparison.find((each) => each.choice === check.decision);
  const swap = check.decision === "swap" && check.plans[0];
  const why = check.swap_rules.find((each) => each.rule === check.decided_by);
  redraw(place,
    h("h2", { class: `decision ${check.decision}` }, DECISION[check.decision]),
    swap && h("p", {}, "Bring next: ", h("strong", {}, sizes(swap)), why ? `, because ${why.words}.` : ", because it costs them less than the work would.",
      h("br"), button(`They have ${sizes(swap)} on`, () => bring(room, swap), { class: "first", "data-at": "swap" })),
    why && !swap && h("p", {}, capital(why.words), "."),
    way && h("p", {}, h("strong", {}, money(way.price) || "no work"), way.minutes ? `, ${way.minutes} minutes` : "", way.day ? `, earliest ${day(way.day)}` : ""),
    check.causes.length > 0 && h("ul", { class: "causes" }, check.causes.slice(0, CAUSES).map((each) =>
      h("li", {}, `${capital(each.words)}${each.side ? `, ${SIDE[each.side]}` : ""}: ${inHundred(each.probability)}`))),
    (way?.alterations ?? []).filter((each) => each.seen).map((each) => h("p", { class: "work" }, workLine(each))),
    check.left_to_fitter.map((each) => h("p", { class: "slip" }, `Left to you: ${plain(each.point)}${each.side ? `, ${SIDE[each.side]}` : ""}. ${each.why}`)),
    check.look_again.map((each) => h("p", { class: "slip" }, capital(each.words))),
    h("details", {}, h("summary", {}, "The ways side by side"), h("table", {}, h("tbody", {}, check.comparison.map((each) => h("tr", {},
      h("th", { scope: "row" }, CHOICE[each.choice], each.garment ? ` (${each.garment})` : ""),
      h("td", {}, each.possible ? sizes(each) : each.why_not), h("td", {}, each.possible ? `${money(each.price)} ${each.day ? day(each.day) : ""}` : "")))))),
    check.decision !== "swap" && button("Pins", () => room.go("pins"), { class: "first" }));
  return place;
}

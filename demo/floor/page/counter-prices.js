// The price list, for whoever may change it; for all others to read.

import { button, h } from "./dom.js";
import { capital, money } from "./wording.js";

const GARMENTS = ["jacket", "trousers", "waistcoat", "shirt"];
const asked = (text) => Math.round(Number.parseFloat(text.replace(",", ".")) * 100);

export function drawPrices(room) {
  if (!room.list) return h("p", {}, "Fetching…");
  const { list, member } = room;
  const price = (code) => list.prices.find((each) => each.alteration === code);
  const change = (take) => { take(list); room.listChanged = (room.listChanged ?? 0) + 1; room.draw(); };
  const field = (words, at, minor, take) => h("label", {}, words, " ", h("input", { type: "text", inputmode: "decimal", value: minor === null ? "" : (minor / 100).toFixed(2), "data-at": at,
    onchange: (event) => { const told = event.target.value.trim(); if (told === "" || Number.isInteger(asked(told))) change(() => take(told === "" ? null : asked(told))); else room.draw(); } }));
  const setFixed = (code) => (minor) => { list.fixed = [...list.fixed.filter((each) => each.alteration !== code), ...(minor === null ? [] : [{ alteration: code, minor }])]; };
  return h("div", { class: "prices" },
    !member.admin && h("p", { class: "how" }, "Only a manager changes this: sign in as one."),
    h("p", {}, `Plain hem ${money({ minor: list.plain_hem_minor, currency: list.currency })}`, list.rush_percent ? `; a rush costs ${list.rush_percent} % more` : "", list.deposit_percent ? `; ${list.deposit_percent} % is paid when ordered` : "", "."),
    member.admin && field("Plain hem", "plain hem", list.plain_hem_minor, (minor) => { if (minor !== null) list.plain_hem_minor = minor; }),
    GARMENTS.map((garment) => h("details", { open: room.opened === garment, ontoggle: (event) => { if (event.target.open) room.opened = garment; } }, h("summary", {}, capital(garment)), h("table", {},
      h("thead", {}, h("tr", {}, ["Work", "Price", ...(member.admin ? ["Fixed at", "Bands"] : ["Bands"])].map((each) => h("th", { scope: "col" }, each)))),
      h("tbody", {}, room.work.filter((each) => each.garment === garment).map((each) => {
        const bands = list.bands.filter((band) => band.alteration === each.alteration);
        const fixed = list.fixed.find((one) => one.alteration === each.alteration);
        return h("tr", {}, h("th", { scope: "row" }, each.words), h("td", {}, money({ minor: price(each.alteration)?.minor ?? 0, currency: list.currency })),
          member.admin && h("td", {}, field(h("span", { class: "spoken" }, `Fixed price of ${each.words}`), `fixed ${each.alteration}`, fixed?.minor ?? null, setFixed(each.alteration))),
          h("td", {}, bands.map((band) => h("p", {}, `over ${band.over.text}: ${money({ minor: band.minor, currency: list.currency })} `,
            member.admin && button("Strike", () => change(() => { list.bands = list.bands.filter((one) => one !== band); }), { "aria-label": `Strike the band over ${band.over.text} of ${each.words}`, "data-at": `strike ${each.alteration} ${band.over.text}` }))),
            member.admin && newBand(room, each, change)));
      }))))),
    member.admin && room.listChanged && h("div", { class: "doing" }, button("Keep the list", () => keep(room), { class: "first" }), button("Leave it as it was", () => { room.listChanged = 0; room.load(); })));
}

function newBand(room, each, change) {
  const open = room.banding === each.alteration;
  if (!open) return button("Band", () => { room.banding = each.alteration; room.draw(); }, { "aria-label": `A band for ${each.words}`, "data-at": `band ${each.alteration}` });
  const told = (room.band ??= { over: "", minor: "" });
  const field = (words, name) => h("label", {}, `${words} `, h("input", { type: "text", inputmode: "decimal", value: told[name], "data-at": `band ${name}`, oninput: (event) => { told[name] = event.target.value; } }));
  return h("div", {}, field("Over, in inches", "over"), field("Price", "minor"), button("Add", () => {
    const over = Number.parseFloat(told.over);
    const minor = asked(told.minor);
    if (!Number.isFinite(over) || !Number.isInteger(minor)) return;
    change((list) => list.bands.push({ alteration: each.alteration, minor, over: { value: over, unit: "in", text: `${over} in` } }));
    Object.assign(room, { banding: null, band: null });
    room.draw();
  }));
}

async function keep(room) {
  const { prices: _, ...list } = room.list;
  const body = { ...list, bands: list.bands.map((each) => ({ ...each, over: { value: each.over.value, unit: each.over.unit } })) };
  const sent = room.listChanged;
  const answer = await room.change("the price list is kept", "PUT", "/v1/price-list", body, room.listTag);
  if (!answer) return;
  // What was typed meanwhile is of the list that is kept now.
  if (room.listChanged === sent) room.listChanged = 0;
  else room.listTag = answer.etag;
  await room.load();
}

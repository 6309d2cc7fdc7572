// A web shop that advises a size and fills its basket: BASE_URL=... KEY=... ORIGIN=... node web_shop.mjs CHART.
// In a page these are the page's own values, with a web key; the browser says the origin.
const shop = { ...process.env, chart: process.argv[2] };
const pause = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));

// 1. One way to ask. What is busy or cut off is asked again; a refusal says what to mend.
async function ask(method, path, body) {
  const headers = { Authorization: `Bearer ${shop.KEY}`, "Content-Type": "application/json", Origin: shop.ORIGIN };
  for (const wait of [1, 5, 25, 0]) {
    const options = { method, headers, body: body && JSON.stringify(body), signal: AbortSignal.timeout(30000) };
    const answer = await fetch(shop.BASE_URL + path, options).catch((away) => away);
    if (answer.ok) return answer.json();
    const mayComeAgain = answer instanceof Error || [408, 429, 502, 503, 504].includes(answer.status);
    if (!mayComeAgain || !wait) throw new Error(`${path}: ${answer.message ?? (await answer.text())}`);
    await pause(Number(answer.headers?.get("Retry-After") ?? wait));
  }
}

// 2. Height and weight, as customers say them, are enough to begin with.
const readings = [
  { dimension: "stature", value: 178, unit: "cm", source: "self_reported" },
  { dimension: "body_mass", value: 76, unit: "kg", source: "self_reported" },
];
const asked = { readings, charts: [shop.chart], limit: 1 };
const first = await ask("POST", "/v1/size-advice?view=short", asked);
const [best] = first.plans;
const sure = Math.round(100 * best.confidence.within_one_size);
console.log(`${best.jacket.label}? Within one size of the best by ${sure}%`);

// 3. Ask for the measure that would tell most, and advise again: whole this time, for the quote.
const taped = { chest_girth: 96, waist_girth: 83, trouser_waist_girth: 84, arm_length: 64 };
const next = first.measure_next;
if (next in taped) readings.push({ dimension: next, value: taped[next], unit: "cm", source: "self_measured" });
const plan = (await ask("POST", "/v1/size-advice", asked)).plans[0];

// 4. Price and earliest day of the work; the hem is pinned when the customer has tried it on.
const lines = plan.alterations
  .filter((each) => each.alteration !== "trouser_hem")
  .map(({ alteration, basis, direction, side, amount: { value, unit } }) => {
    const line = { alteration, basis, direction, side, amount: { value, unit } };
    return Object.fromEntries(Object.entries(line).filter(([, said]) => said !== null));
  });
const garments = ["jacket", "trousers"].map((garment) => {
  const { chart, label } = plan[garment];
  return { garment, chart, label };
});
const quote = await ask("POST", "/v1/alteration-quotes", { garments, lines, to_be_pinned: true });
const tax = { true: "with tax", false: "plus tax", null: "" }[quote.prices_include_tax];
console.log(`Work: ${(quote.total.minor / 100).toFixed(2)} ${quote.total.currency} ${tax} by ${quote.earliest}`);

// 5. Into the basket, by the shop's own article number.
for (const { garment, label } of garments)
  console.log("Basket:", garment, label, plan[garment].sku ?? plan[garment].gtin);

// A till that sells an alteration: BASE_URL=... KEY=... node till.mjs SALE, with a key for `order`.
import { existsSync, readFileSync, writeFileSync } from "node:fs";

const { BASE_URL, KEY, CURSOR_FILE = "cursor" } = process.env;
const sale = process.argv[2];
const pause = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));

// 1. One way to ask. What is busy or cut off is asked again; a refusal says what to mend.
async function ask(method, path, body, more = {}) {
  const headers = { Authorization: `Bearer ${KEY}`, "Content-Type": "application/json", ...more };
  for (const wait of [1, 5, 25, 0]) {
    const options = { method, headers, body: body && JSON.stringify(body), signal: AbortSignal.timeout(30000) };
    const answer = await fetch(BASE_URL + path, options).catch((away) => away);
    if (answer.ok) return answer.headers.get("Content-Type").includes("json") ? answer.json() : answer.text();
    const mayComeAgain = answer instanceof Error || [408, 429, 502, 503, 504].includes(answer.status);
    if (!mayComeAgain || !wait) throw new Error(`${path}: ${answer.message ?? (await answer.text())}`);
    await pause(Number(answer.headers?.get("Retry-After") ?? wait));
  }
}
const said = (money) => `${(money.minor / 100).toFixed(2)} ${money.currency}`;

// 2. What would it cost, and when could it be ready? Nothing is booked yet.
const leg = { value: "30 1/4", unit: "in" };
const trousers = { garment: "trousers", chart: "reference", label: "30", pins_left_in: 2 };
const sheet = { garments: [trousers], hems: [{ pins: { left: leg, right: leg } }] };
const quote = await ask("POST", "/v1/alteration-quotes", sheet);
console.log("Quote:", said(quote.total), "earliest", quote.earliest);

// 3. Place the order. The key is of this sale: sent twice, it is the same order.
const sold = { ...sheet, by: "counter-1", sale_ref: sale };
const order = await ask("POST", "/v1/orders", sold, { "Idempotency-Key": `till-${sale}` });
console.log("Order", order.number, "promised for", order.promised_for);

// 4. Lines for the basket, and the paper that the customer takes home.
for (const line of (await ask("GET", `/v1/orders/${order.id}/charges`)).charges)
  console.log(line.words, said(line.amount), line.tax_category);
console.log(await ask("GET", `/v1/orders/${order.id}/customer-slip`, undefined, { Accept: "text/plain" }));

// 5. What has happened since? Keep the cursor, and go on from there next time.
const after = existsSync(CURSOR_FILE) ? readFileSync(CURSOR_FILE, "ascii") : "0";
const news = await ask("GET", `/v1/events?after=${after}`);
for (const event of news.events) console.log(event.type, "order", event.data.number, event.data.state);
writeFileSync(CURSOR_FILE, news.after);

// A workroom's board: BASE_URL=... KEY=... node workroom_board.mjs [NUMBER STATE], with a key for `workroom`.
const { BASE_URL, KEY, ROUNDS = "1000000" } = process.env;
const [number, state] = process.argv.slice(2);
const pause = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));

// 1. One way to ask. What is busy or cut off is asked again; a refusal says what to mend.
async function ask(method, path, body, more = {}) {
  const headers = { Authorization: `Bearer ${KEY}`, "Content-Type": "application/json", ...more };
  for (const wait of [1, 5, 25, 0]) {
    const options = { method, headers, body: body && JSON.stringify(body), signal: AbortSignal.timeout(30000) };
    const answer = await fetch(BASE_URL + path, options).catch((away) => away);
    if (answer.ok) return { ...(await answer.json()), version: answer.headers.get("ETag") };
    const mayComeAgain = answer instanceof Error || [408, 429, 502, 503, 504].includes(answer.status);
    if (!mayComeAgain || !wait) throw new Error(`${path}: ${answer.message ?? (await answer.text())}`);
    await pause(Number(answer.headers?.get("Retry-After") ?? wait));
  }
}

// 2. What has happened? Read the feed to its end, and keep the cursor.
async function readOn(after) {
  for (;;) {
    const page = await ask("GET", `/v1/events?after=${after}`);
    if (!page.events.length) return page.after;
    after = page.after;
  }
}

// 3. How many orders are where, and each bench's work, the most urgent first.
async function draw() {
  const counts = await ask("GET", "/v1/orders/counts");
  const states = counts.states.filter((each) => each.orders).map((each) => `${each.orders} ${each.state}`);
  console.log(`late ${counts.late}, due ${counts.due}; ${states.join(", ")}`);
  for (const bench of (await ask("GET", "/v1/workroom/worklist?limit=20")).benches) {
    console.log(`${bench.bench}: ${bench.minutes} minutes`);
    for (const job of bench.jobs)
      console.log(`  ${job.number} ${job.urgency}: ${job.lines.map((line) => line.words).join("; ") || "press"}`);
  }
}

// 4. Move an order along, of the version that was read: nothing that others did meanwhile is overwritten.
if (number) {
  const [found] = (await ask("GET", `/v1/orders?number=${number}`)).orders;
  const order = await ask("GET", `/v1/orders/${found.id}`);
  const asked = { to: state, by: "tailor-1" };
  const moved = await ask("POST", `/v1/orders/${found.id}/moves`, asked, { "If-Match": order.version });
  console.log("Order", moved.number, "is", moved.state);
}

// 5. Every few seconds, for as long as the board hangs: draw it again where something has happened.
let drawn;
for (let round = 0, cursor = "0"; round < Number(ROUNDS); round++) {
  cursor = await readOn(cursor);
  if (cursor !== drawn) await draw();
  drawn = cursor;
  await pause(Number(ROUNDS) > 1 ? 5 : 0);
}

"""A thousand made-up visitors of the size adviser: nobody sees an error of ours, a stale answer or a word not for them.

They are drawn by a fixed seed: of all ages and sizes, with labels of all systems, with nonsense, on slow lines, and
with the service away, faulty or busy. One page in the browser serves many of them, as a shop's does.
"""

# ruff: noqa: E501  the scripts of a page, and tables of what people type

import random
import re

import pytest

from tests.demo.adviser_page import LANGUAGES, visiting, words_of

VISITORS = 1_000
A_PAGE = 100
NOT_FOR_VISITORS = re.compile(
    r"\b[a-z]+_[a-z_]+\b|\bundefined\b|\bnull\b|\bNaN\b|\[object|\{\w+\}|/v1/|\bHTTP\b|\b[45]\d\d\b [A-Z]"
)
# What is left in English where another language is spoken.
ENGLISH = re.compile(
    r"\b(?:the|your|with|jacket|trousers?|pants|waist|sleeves?|too|tight|wide|about|here|take|chest|we)\b",
    re.IGNORECASE,
)
NONSENSE = (
    "",
    " ",
    "abc",
    "-5",
    "0",
    "9999",
    "1e9",
    "½",
    "5'",
    "'10",
    "5'99",
    "12..5",
    "1,2,3",
    "∞",
    "<b>",
    "175cmm",
    "🙂",
    "a" * 20,
)
LABELS = {
    "": [
        "40R",
        "42 regular",
        "50",
        "M",
        "100/88",
        "W34 L32",
        "48",
        "92A5",
        "170/88A",
        "25",
        "102",
        "66XL",
        "grand",
        "?",
    ],
    "own": ["40R", "38:R", " 44l ", "34", "36", "99Z"],
    "inch": ["40R", "38", "32", "36", "66XL", "50", "50R"],
    "continental": ["50", "48", "102", "25", "54", "44"],
    "letter": ["M", "XL", "5XL", "S", "XXS", "QQ"],
    "cm": ["100/88", "84/72", "120/112", "1/1"],
    "jis": ["92A5", "94AB6", "zzz"],
    "gb": ["170/88A", "180/100B", "0/0"],
}
LINES = ["good"] * 16 + ["slow"] * 3 + ["away", "faulty", "busy", "garbled"]
# The page's own `fetch`, with a line in between that is as bad as is said.
LINE = """() => {
  const real = window.fetch;
  window.line = "good";
  let asked = 0;
  window.fetch = async (...given) => {
    if (!String(given[0]).includes("/v1/") || window.line === "good") return real(...given);
    if (window.line === "away") throw new TypeError("Failed to fetch");
    if (window.line === "faulty") return new Response('{"status": 503, "title": "no"}', {status: 503});
    if (window.line === "busy") return new Response("{}", {status: 429, headers: {"Retry-After": "7"}});
    if (window.line === "garbled") return new Response("<html>a proxy's own page</html>", {status: 200});
    const answer = await real(...given);
    // What was asked first comes last.
    await new Promise((done) => setTimeout(done, asked++ % 2 ? 5 : 60));
    return answer;
  };
}"""
# What one visitor does, in one go; gives what they see in the end.
VISIT = """async (visit) => {
  const adviser = document.querySelector("size-adviser");
  const root = adviser.shadowRoot;
  const all = (which) => [...root.querySelectorAll(which)];
  const settled = async () => {
    for (let n = 0; n < 2000; n++) {
      await new Promise((done) => setTimeout(done, 4));
      if (root.querySelector("h2") && !root.querySelector("[aria-busy]") && !root.querySelector("[role=status]").textContent) return;
    }
    throw new Error("it never settled");
  };
  const seen = [];
  const look = () => {
    const form = root.querySelector("form[part=form]");
    const heading = root.querySelector(".answer h3");
    seen.push({
      text: [...root.children].map((each) => each.innerText).join("\\n"),
      labels: all("[aria-label], option").map((each) => each.getAttribute("aria-label") ?? each.textContent).join("\\n"),
      state: root.querySelector("[role=alert]") ? "alert" : form ? (all(".wrong:not([hidden])").length ? "asked again" : "asking") : heading ? "answer" : "nothing",
      heading: heading?.innerText ?? "", button: all(".answer [part~=answer] > .doing > button").length, tapes: all("ol.tape").length,
    });
  };
  window.line = "good";
  if (adviser.lang !== visit.language) { adviser.lang = visit.language; for (let n = 0; n < 500 && root.firstElementChild.lang !== visit.language; n++) await new Promise((done) => setTimeout(done, 4)); await settled(); }
  if (!root.querySelector("form[part=form]")) { all(".said button")[0]?.click(); await settled(); }
  const path = root.querySelector(`[name=path][value=${visit.path}]`);
  path.click();
  for (let n = 0; visit.path === "size" && n < 500 && root.querySelector("#whose").options.length < 3; n++) await new Promise((done) => setTimeout(done, 4));
  for (const each of all("form[part=form] input[type=text]")) each.value = "";
  for (const [name, value] of Object.entries(visit.fields)) {
    const field = root.querySelector(`#${name}`);
    field.value = value;
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }
  window.line = visit.line;
  root.querySelector("form[part=form]").requestSubmit();
  await settled();
  look();
  for (const step of visit.steps) {
    if (step === "meant") all(".notice .doing button, [id^=ask] button")[0]?.click();
    if (step === "skip") root.querySelector("form.lead button.plain")?.click();
    if (step === "tape" && root.querySelector("#first")) { root.querySelector("#first").value = visit.tape; root.querySelector("form.lead").requestSubmit(); }
    if (step === "wishes") for (const wish of ["close", "easy"]) root.querySelector(`[name=wish][value=${wish}]`)?.click();
    if (step === "one") root.querySelector(`[name=both][value=${visit.garment}]`)?.click();
    if (step === "other") { const select = root.querySelector("[id^=other-]"); if (select) { select.selectedIndex = visit.size % select.options.length; select.dispatchEvent(new Event("change")); } }
    if (step === "take") all(".answer [part~=answer] > .doing > button")[0]?.click();
    await settled();
    look();
  }
  return seen;
}"""
AGAIN = """async () => {
  const root = document.querySelector("size-adviser").shadowRoot;
  window.line = "good";
  const wish = root.querySelector("[name=wish][value=easy]");
  if (!wish) return null;
  wish.dispatchEvent(new Event("change"));
  for (let n = 0; n < 2000; n++) { await new Promise((done) => setTimeout(done, 4)); if (!root.querySelector("[aria-busy]")) break; }
  return root.querySelector(".answer h3").innerText;
}"""


def made_up(chance):
    """One visitor: what they know, how they write it, what their line is like and what they do next."""
    path = chance.choice(["tape", "size", "body"])
    cm, kg = chance.gauss(177, 12), chance.gauss(84, 20)
    stones, pounds = divmod(round(kg * 2.2046), 14)
    feet, inches = divmod(round(cm / 2.54), 12)
    height = chance.choice(
        [
            f"{cm:.0f}",
            f"{cm / 100:.2f}",
            f"{cm / 100:.2f}".replace(".", ","),
            f"{feet}'{inches}",
            f"{cm / 2.54:.0f}",
            f"{feet} ft {inches}½",
        ]
    )
    weight = chance.choice(
        [f"{kg:.0f}", f"{kg:.1f} kg", f"{stones}st {pounds}", f"{kg * 2.2046:.0f} lb", f"{kg * 2.2046:.0f}"]
    )
    fields = {"height": height}
    if path == "body":
        fields |= {"weight": weight, "age": chance.choice(["", "18", "25", "35", "45", "55", "65", "75", "83"])}
    elif path == "size":
        whose = chance.choice(list(LABELS))
        fields |= {
            "whose": whose,
            **{f"label_{garment}": chance.choice([*LABELS[whose], ""]) for garment in ("jacket", "trousers")},
        }
    else:
        chest, waist = chance.gauss(104, 12), chance.gauss(95, 14)
        fields |= {
            "chest_girth": chance.choice([f"{chest:.0f} cm", f"{chest / 2.54:.1f}", f"{chest:.1f}", ""]),
            "trouser_waist_girth": chance.choice([f"{waist:.0f}", f"{waist / 2.54:.0f} in", ""]),
        }
    for name in list(fields):
        if name not in ("whose", "age") and chance.random() < 0.08:
            fields[name] = chance.choice(NONSENSE)
    steps = chance.sample(["meant", "skip", "tape", "wishes", "one", "other", "take"], k=chance.randint(0, 4))
    return {
        "language": chance.choice(LANGUAGES), "path": path, "fields": fields, "line": chance.choice(LINES), "steps": steps,
        "tape": chance.choice(["100 cm", "39½", "40", "90", "250", "x", "38 in"]), "garment": chance.choice(["jacket", "trousers"]), "size": chance.randint(0, 40),
    }  # fmt: skip


@pytest.mark.lengthy
def test_a_thousand_made_up_visitors_see_no_error_of_ours_and_no_word_that_is_not_for_them(browser, site):
    chance = random.Random(1907)
    states, stale = [], 0
    for _ in range(VISITORS // A_PAGE):
        with visiting(browser, site) as page:
            page.evaluate(LINE)
            for _ in range(A_PAGE):
                visit = made_up(chance)
                try:
                    seen = page.evaluate(VISIT, visit)
                except Exception as error:
                    raise AssertionError(f"{visit}: {error}") from error
                for each in seen:
                    _is_fit_to_be_seen(each, visit)
                states += [each["state"] for each in seen]
                if visit["line"] == "slow" and "wishes" in visit["steps"] and visit["steps"][-1] == "wishes":
                    # What they were left with is the answer to what they asked last.
                    again = page.evaluate(AGAIN)
                    assert again in (None, seen[-1]["heading"]), visit
                    stale += again is not None
            assert [] == [each for each in page.complaints if "Failed to load resource" not in each]
    # Visitors of every kind were among them.
    assert {"answer", "alert", "asked again"} <= set(states)
    assert states.count("answer") > VISITORS
    assert stale > 0


def _is_fit_to_be_seen(seen, visit):
    shown = f"{seen['text']}\n{seen['labels']}"
    # What they typed is theirs.
    for typed in (*visit["fields"].values(), visit["tape"]):
        shown = shown.replace(typed.strip(), "") if len(typed.strip()) > 2 else shown
    assert [] == NOT_FOR_VISITORS.findall(shown), visit
    assert visit["language"].startswith("en") or [] == ENGLISH.findall(shown), visit
    assert "nothing" != seen["state"], visit
    words = words_of(visit["language"])
    if seen["state"] == "answer":
        # Where a garment has no size there is none to take, and none is drawn.
        nobody = any(seen["heading"].startswith(words[key].split("{")[0]) for key in ("no_size", "no_size_yet"))
        parts = [words[key].split("{garment}")[1] for key in ("sure_none", "sure_open")]
        if nobody or any(part in seen["heading"] for part in parts):
            assert 0 == seen["button"], visit
    else:
        assert 0 == seen["button"] + seen["tapes"], visit

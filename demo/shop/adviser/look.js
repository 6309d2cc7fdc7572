// How the adviser looks. A shop sets the custom properties --adviser-… and styles the parts (::part) in its own sheet.

export const LOOK = `
:host { --ink: var(--adviser-ink, light-dark(#1f2328, #ece9e3)); --paper: var(--adviser-paper, light-dark(#ffffff, #1b1d20));
  --soft: var(--adviser-soft, light-dark(#f5f2ec, #26292d)); --line: var(--adviser-line, light-dark(#d8d2c6, #44484d));
  --edge: light-dark(#77706a, #9a948b); --quiet: light-dark(#5b544c, #b8b1a6);
  --accent: var(--adviser-accent, light-dark(#7a2331, #eea3ab)); --on-accent: var(--adviser-on-accent, light-dark(#ffffff, #2a1014));
  --bad: light-dark(#9c1c1c, #ff9d94); --work: light-dark(#6d4600, #e9c07a); --good: light-dark(#1d5c3a, #8fd3ab);
  --face: var(--adviser-face, "Iowan Old Style", "Palatino Linotype", Palatino, Georgia, serif); --round: var(--adviser-round, 2px);
  display: block; color: var(--ink); font: 1rem/1.5 var(--adviser-text-face, system-ui, sans-serif); container-type: inline-size; }
* { box-sizing: border-box; }
[hidden] { display: none !important; }
h2, h3, h4 { font-family: var(--face); font-weight: 600; line-height: 1.25; margin: 0 0 .5rem; text-wrap: balance; }
h2 { font-size: 1.5rem; } h3 { font-size: 1.4rem; } h4 { font-size: 1.1rem; margin: 1.1rem 0 .35rem; }
h2, h3, h4, p, li, label, legend, summary { unicode-bidi: plaintext; } :host(:dir(rtl)) { text-align: right; }
h3:focus { outline: none; }
p { margin: 0 0 .6rem; }
ul, ol { margin: 0 0 .6rem; padding-inline-start: 1.1rem; } li { margin-bottom: .2rem; }
section, form { background: var(--paper); border: 1px solid var(--line); border-radius: var(--round); padding: 1.1rem 1.25rem; margin: 0 0 .9rem; }
fieldset { border: 0; padding: 0; margin: 0 0 .9rem; min-width: 0; }
legend { padding: 0; font-weight: 600; margin-bottom: .3rem; }
.hint { color: var(--quiet); font-size: .9rem; margin: .15rem 0 0; }
.wrong { color: var(--bad); font-weight: 600; font-size: .95rem; margin: .2rem 0 0; }
.fields { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(11rem, 100%), 1fr)); gap: .7rem 1rem; margin-bottom: .9rem; }
.field label { display: block; font-weight: 600; }
input[type=text], select { font: inherit; color: inherit; background: var(--paper); width: 100%; min-height: 2.75rem; padding: .35rem .65rem;
  border: 1px solid var(--edge); border-radius: var(--round); }
[aria-invalid=true] { border: 2px solid var(--bad); }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
.paths { display: grid; gap: .4rem; }
.paths label { display: flex; align-items: center; gap: .65rem; min-height: 2.9rem; padding: .4rem .8rem; border: 1px solid var(--line); border-radius: var(--round); cursor: pointer; }
.paths label:has(:checked) { border-color: var(--accent); background: var(--soft); }
.paths small { margin-inline-start: auto; color: var(--quiet); font-size: .9rem; }
input[type=radio] { accent-color: var(--accent); inline-size: 1.1rem; block-size: 1.1rem; margin: 0; flex: none; }
.switch { display: flex; flex-wrap: wrap; gap: .1rem 1rem; align-items: center; margin: 0 0 .35rem; }
.switch legend { float: inline-start; margin: 0; min-inline-size: 9rem; } .switch label { display: inline-flex; align-items: center; gap: .4rem; min-height: 2.75rem; cursor: pointer; }
button { font: inherit; font-weight: 600; min-height: 2.75rem; padding: .45rem 1.1rem; border-radius: var(--round); cursor: pointer; border: 1px solid var(--accent);
  background: var(--paper); color: var(--accent); }
button.first { background: var(--accent); color: var(--on-accent); }
button.plain { border-color: transparent; background: none; text-decoration: underline; padding-inline: .3rem; text-align: start; }
.doing { display: flex; flex-wrap: wrap; gap: .6rem; align-items: center; margin-top: .6rem; }
.said { display: flex; flex-wrap: wrap; gap: 0 .8rem; align-items: center; color: var(--quiet); margin: 0 0 .2rem; }
.tape { list-style: none; display: flex; padding: 0; margin: .15rem 0 .9rem; max-width: 26rem; border-top: 1px solid var(--edge); }
.tape li { flex: 1 1 0; min-width: 0; margin: 0; text-align: center; padding: .45rem .1rem .3rem; color: var(--quiet); position: relative; font-variant-numeric: tabular-nums;
  background: linear-gradient(var(--edge), var(--edge)) 50% 0 / 1px .35rem no-repeat; border-bottom: 3px solid transparent; }
.tape li.may, .tape li.ours { color: var(--ink); border-image: repeating-linear-gradient(90deg, var(--accent) 0 var(--to), transparent var(--to) var(--on)) 3; border-bottom: 3px solid var(--accent); }
.tape li.may, .tape li.loose { --to: .8rem; --on: 1.15rem; } .tape li.ours { font: 700 1.5rem/1.1 var(--face); } .tape li.ours:not(.loose) { --to: .3rem; --on: .42rem; }
.garment p { margin: 0; }
.lead { border-inline-start: 4px solid var(--accent); }
.notice { border-inline-start: 4px solid var(--work); background: var(--soft); padding: .6rem .9rem; margin: 0 0 .8rem; } .notice p { margin: 0; }
.look, .how { display: grid; grid-template-columns: 12rem minmax(0, 1fr); gap: 1.25rem; align-items: start; } .how { grid-template-columns: 7rem minmax(0, 1fr); }
.look > svg, .how > svg { width: 100%; height: auto; display: block; }
.places { list-style: none; margin: 0; padding: 0; }
.places li { display: grid; grid-template-columns: 1.8rem 1fr; gap: .55rem; padding: .35rem 0; margin: 0; border-top: 1px solid var(--line); } .places li:first-child { border-top: 0; }
.places svg { width: 1.6rem; height: 1.6rem; } .places p { margin: 0; }
details { margin-top: .5rem; } summary { cursor: pointer; font-weight: 600; min-height: 2.75rem; display: list-item; align-content: center; }
.code { font: 700 1.7rem/1.2 ui-monospace, monospace; letter-spacing: .08em; margin: .3rem 0; user-select: all; }
.qr { inline-size: 9rem; block-size: 9rem; background: #ffffff; display: block; }
.cloth { fill: light-dark(#44505f, #8d9aab); stroke: light-dark(#232b35, #20262d); } .skin { fill: #e3cfbb; stroke: #6b5847; } .shirt { fill: #f7f5f0; stroke: #85807a; }
.other { fill: light-dark(#e4e1db, #54595f); stroke: #85807a; } .hair { fill: #4c3b2e; stroke: none; } .seam { fill: none; stroke: light-dark(#1d242c, #20262d); } .tie { fill: var(--accent); stroke: none; }
.figure path, .figure ellipse { stroke-width: 1.4; stroke-linejoin: round; } .band { fill: none; stroke: var(--accent); stroke-width: 5 !important; stroke-linecap: round; }
.mark > :first-child { fill: var(--paper); stroke: var(--mark); stroke-width: 2.4; } .mark text { fill: var(--mark); font: 700 11px system-ui, sans-serif; text-anchor: middle; }
.mark.right { --mark: var(--good); } .mark.work { --mark: var(--work); } .mark.wrong { --mark: var(--bad); } .mark.maybe { --mark: var(--quiet); } .mark.maybe > :first-child { stroke-dasharray: 4 3; }
[aria-busy=true] { opacity: .45; }
@container (max-width: 34rem) {
  section, form { padding: .85rem .9rem; } h3 { font-size: 1.3rem; } .fields { gap: .6rem; }
  .look { grid-template-columns: 1fr; } .look > svg { max-width: 11rem; margin: 0 auto; } .how { grid-template-columns: 4.5rem minmax(0, 1fr); gap: .8rem; } .doing button { flex: 1 1 100%; }
  .doing button.plain { flex: 0 1 auto; } .switch legend { float: none; inline-size: 100%; }
}
@media (prefers-reduced-motion: no-preference) { .answer > section { animation: come .18s ease-out; } @keyframes come { from { opacity: 0; transform: translateY(4px); } } }
@media (forced-colors: active) { .tape li.may, .tape li.ours { border-image: none; border-bottom-color: Highlight; } }
@media print { form, .doing, .lead, .switch, select, .select { display: none !important; } section { border: 0; padding: 0; break-inside: avoid; } details::details-content { content-visibility: visible; block-size: auto; } }
`;

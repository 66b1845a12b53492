/**
 * What pages have on which something is entered: every target is 48 px (`--glove`) and apart from the next, since it is
 * pressed with gloves on; one column, so that a thumb goes down it; the one thing that is usual is the widest button.
 */
export const YARD_STYLE = `
:root { --glove: 3rem; }
body { font-size: var(--large); max-width: 44rem; }
h1 { margin-top: 0; }
h2 { font-size: 1.4rem; }
nav.links a, main a { min-height: var(--glove); }
nav.links a { padding: 0 .8rem; }
.signal { border-left: .5rem solid var(--warn); padding: .4rem .8rem; margin: .6rem 0; font-weight: 700; }
form.entry label { margin: 1.1rem 0 .25rem; }
form.entry label small { color: var(--quiet); }
form.entry input, form.entry select, form.entry textarea {
  display: block; width: 100%; max-width: none; min-height: 3.25rem; font: inherit; color: inherit;
  background: transparent; padding: .5rem .7rem; border: 2px solid var(--line); border-radius: var(--corner);
}
form.entry :is(input, select, textarea):focus { border-color: var(--accent); }
form.entry [aria-invalid="true"] { border: 4px solid var(--warn); }
form.entry .measure { display: grid; grid-template-columns: 1fr 1fr; gap: .6rem; }
form.entry .measure label.unit {
  position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap;
}
form.entry .measure select { grid-column: 2; grid-row: 1; padding-inline: .4rem; }
form.entry .measure input { grid-column: 1; grid-row: 1; }
form.entry .box label { display: flex; align-items: center; gap: .8rem; min-height: var(--glove); margin: .8rem 0 0; }
form.entry .box input { width: 2rem; min-height: 2rem; height: 2rem; flex: none; accent-color: var(--accent); }
.wrong { color: var(--warn); font-weight: 700; margin: .3rem 0 0; }
.send { display: grid; gap: .8rem; margin: 1.6rem 0 1rem; }
.send button, .fed button { width: 100%; min-height: 3.75rem; font-size: 1.3rem; }
.entered, .refused { border: 3px solid var(--accent); padding: .2rem 1rem .6rem; margin: 1rem 0; }
.refused { border-color: var(--warn); }
.entered h2, .refused h2 { margin: .6rem 0 .3rem; }
.entered p, .refused p { margin: .3rem 0; }
.warnings { border-top: 2px solid var(--warn); margin: .6rem 0 0; padding: .4rem 0 0 1.2rem; }
.quiet { color: var(--quiet); }
button.quiet { color: var(--accent); }
.herd { border-top: 4px solid var(--ink); margin-top: 1.4rem; padding-top: .5rem; }
.herd > header { display: flex; justify-content: space-between; align-items: baseline; flex-wrap: wrap; gap: 0 1rem; }
.herd h2, .herd h3 { margin: 0; font-size: 1.5rem; }
.herd .head { font-weight: 700; white-space: nowrap; }
ol.lay { list-style: none; margin: .5rem 0; padding: 0; }
ol.lay li { display: grid; grid-template-columns: 2.4rem 1fr auto; gap: .1rem .6rem; padding: .45rem 0;
  border-bottom: 1px solid var(--line); align-items: baseline; }
ol.lay .step { font-size: 1.6rem; font-weight: 800; text-align: center; }
ol.lay .weight { font-size: 1.6rem; font-weight: 800; white-space: nowrap; text-align: right; }
ol.lay small { grid-column: 2 / 4; }
.fed { display: grid; gap: .7rem; margin: .8rem 0 .4rem; }
.fed a { display: flex; align-items: center; justify-content: center; min-height: var(--glove); }
.done { border-left: .5rem solid var(--accent); padding: .3rem .8rem; font-weight: 700; margin: .6rem 0; }
.danger { background: var(--ink); color: var(--paper); padding: .5rem .8rem; margin: .6rem 0; }
.danger a { color: inherit; }
ul.tasks { list-style: none; padding: 0; margin: .6rem 0; display: grid; gap: .6rem;
  grid-template-columns: repeat(auto-fill, minmax(min(15rem, 100%), 1fr)); }
ul.tasks a { display: flex; align-items: center; min-height: 3.5rem; padding: .3rem 1rem; font-weight: 700;
  text-decoration: none; border: 2px solid var(--accent); border-radius: var(--corner); }
ul.waiting { list-style: none; padding: 0; }
ul.waiting li { border-top: 4px solid var(--ink); padding: .2rem 0 .6rem; margin: 1rem 0; }
ul.waiting p { margin: .3rem 0; }
ul.waiting .send { margin: .8rem 0 0; grid-template-columns: repeat(auto-fit, minmax(9rem, 1fr)); }
ul.waiting .send button { min-height: var(--glove); font-size: inherit; }
.beside a { display: inline-flex; align-items: center; min-height: var(--glove); }
@media print { .fed, .send, ul.tasks, .signal { display: none; } }`;

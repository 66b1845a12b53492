/**
 * What a sheet has beside the look of all pages: large type and no small targets for gloved hands, since it is read
 * on a tractor and printed before sunrise.
 */
export const FEED_SHEET_STYLE = `
body { font-size: var(--large); line-height: 1.35; }
main > header { border-bottom: 6px solid var(--ink); }
header, section > header {
  display: flex; justify-content: space-between; align-items: baseline; flex-wrap: wrap; gap: .2rem 2rem;
}
h1 { font-size: 2.3rem; margin: 0; border: 0; }
.day { font-size: 1.5rem; font-weight: 700; }
.where { width: 100%; margin: 0 0 .4rem; }
h2 { font-size: 1.8rem; margin: 1.2rem 0 .2rem; }
h2.part { font-size: 1.3rem; margin: 1rem 0 .3rem; }
.head { font-size: 1.5rem; font-weight: 700; white-space: nowrap; }
.sub { margin: 0 0 .5rem; }
.wide table { font-size: inherit; }
td, th { border-bottom: 2px solid var(--ink); padding: .5rem .6rem .5rem 0; vertical-align: middle; }
thead th { padding: .1rem .6rem .1rem 0; font-size: .95rem; }
thead th:last-child { text-align: right; }
.step { font-size: 3rem; font-weight: 800; width: 4.2rem; text-align: center; line-height: 1; }
.step small { display: block; font-size: .95rem; font-weight: 700; }
.lot { font-size: 1.6rem; font-weight: 700; line-height: 1.15; }
.lot small { display: block; font-size: 1.05rem; font-weight: 400; }
.lay { font-size: 2.3rem; font-weight: 800; text-align: right; white-space: nowrap; line-height: 1.05; }
.lay small { display: block; font-size: 1.2rem; font-weight: 700; white-space: normal; }
.facts { margin: .6rem 0 0; }
.facts b { white-space: nowrap; }
.facts b.line { white-space: normal; }
ul { margin: .3rem 0; padding: 0; list-style: none; }
li { border: 3px solid var(--ink); padding: .4rem .7rem; margin: .4rem 0; }
li.notice { border-width: 1px; }
li.watch { border-color: var(--warn); }
li.danger {
  background: var(--ink); color: var(--paper); -webkit-print-color-adjust: exact; print-color-adjust: exact;
}
li b { margin-right: .4rem; }
li small { display: block; font-size: 1.05rem; }
.none { font-size: 1.5rem; border: 4px dashed var(--ink); padding: .8rem; }
.done { font-weight: 700; }
footer { margin-top: 1.2rem; border-top: 2px solid var(--ink); padding-top: .4rem; font-size: 1.05rem; }
@media screen and (max-width: 30rem) {
  .step { font-size: 2.2rem; width: 2.6rem; } .lot { font-size: 1.3rem; }
  .lay { font-size: 1.7rem; } .lay small { font-size: 1.05rem; }
}
@media print {
  body { font-size: 15px; }
  section.herd + section.herd { break-before: page; }
}`;

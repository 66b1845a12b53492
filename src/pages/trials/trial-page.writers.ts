import { registerWriters } from '../../platform/http/writers.js';
import { asPage } from '../document/as-page.js';
import { asPaper } from '../document/as-paper.js';
import { getTrialJudgement, getTrialPicture, getTrialPlan, getTrialProtocol } from './trial-page.schema.js';
import { reportPicture, visiblePicture } from './trial-pictures.js';
import { trialReport } from './trial-report.js';
import { planDocument, protocolDocument } from './trial-sheets.js';

registerWriters(getTrialPlan, {
  svg: async (plan) => (await visiblePicture(plan)).svg,
  html: async (plan) => asPage(await planDocument(plan)),
  pdf: async (plan) => asPaper(await planDocument(plan)),
});
registerWriters(getTrialProtocol, {
  html: (sheet) => asPage(protocolDocument(sheet)),
  pdf: (sheet) => asPaper(protocolDocument(sheet)),
});
registerWriters(getTrialJudgement, {
  html: async (report) => asPage(await trialReport(report)),
  pdf: async (report) => asPaper(await trialReport(report)),
});
registerWriters(getTrialPicture, {
  svg: async ({ picture, report }) => (await reportPicture(picture, report)).svg,
});

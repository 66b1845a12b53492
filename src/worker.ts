import 'reflect-metadata';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { packed, unpacked } from './core/units/crossing.js';
import type { TrialToJudge } from './core/trial/judgement/judgement.js';
import { Problem } from './platform/http/problem.js';
import { type Done, type Job, problemOf } from './platform/workers/job.js';
import { threadStandsBack } from './platform/workers/stand-back.js';

threadStandsBack();

/**
 * A thread for heavy work: does one job at a time, each of them a plain function of what came with it. What a job needs
 * is loaded with the first of its kind.
 */
export default async function work(job: unknown): Promise<unknown> {
  const answer = packed(await done(unpacked(job) as Job));
  // The thread sleeps once it has answered, and what is still to be sent with it: a COMMIT that nobody waits for would
  // leave its session in a transaction, which the database ends after a minute, and the next request with it.
  await nextTurn();
  return answer;
}

async function done(job: Job): Promise<Done> {
  try {
    return { answer: await answerOf(job) };
  } catch (error) {
    if (error instanceof Problem) return problemOf(error);
    throw error;
  }
}

async function answerOf(job: Job): Promise<unknown> {
  switch (job.kind) {
    case 'calculation': {
      const { calculationOf } = await import('./desk/calculations/all-calculations.js');
      return calculationOf(job.name).run(job.body);
    }
    case 'document': {
      await import('./pages/writers.js');
      const { writerOf } = await import('./platform/http/writers.js');
      return writerOf(job, job.form)(job.answer);
    }
    case 'workbook': {
      const { renderXlsx } = await import('./platform/http/xlsx.js');
      return renderXlsx(job.table, job.sheetName, job.remarks);
    }
    case 'register-workbook': {
      const { renderXlsx } = await import('./platform/http/xlsx.js');
      const { registerTable } = await import('./platform/http/register.js');
      const { table, remarks } = registerTable(job);
      return renderXlsx(table, job.sheetName, remarks);
    }
    case 'csv-file': {
      const { readCsvFile } = await import('./records/import/csv-file.js');
      return readCsvFile(job.text, job.rules as Parameters<typeof readCsvFile>[1]);
    }
    case 'workbook-file': {
      const { readWorkbook } = await import('./records/import/reading/workbook.js');
      return readWorkbook(job.text, job.rules as Parameters<typeof readWorkbook>[1]);
    }
    case 'hay-budget': {
      const { workedBudget } = await import('./office/hay-budget/worked-budget.js');
      const [inputs, rates] = [job.inputs, job.rates] as Parameters<typeof workedBudget>;
      return workedBudget(inputs, rates);
    }
    case 'what-ifs': {
      const { whatIfs } = await import('./core/budget/what-if.js');
      return whatIfs(job.question as Parameters<typeof whatIfs>[0]);
    }
    case 'least-cost': {
      const { answerLeastCost } = await import('./desk/rations/least-cost-answer.js');
      return answerLeastCost(job.question as Parameters<typeof answerLeastCost>[0]);
    }
    case 'costs': {
      const { costsWritten } = await import('./thread-application.js');
      return costsWritten(job.operationId, work);
    }
    case 'archive': {
      const { archiveMade } = await import('./thread-application.js');
      return archiveMade(job.asker, job.operationId, work);
    }
    case 'request': {
      const { requestAnswered } = await import('./thread-application.js');
      return requestAnswered(job.request, work);
    }
    case 'trial-judgement': {
      const { judgeTrial } = await import('./core/trial/judge-trial.js');
      return judgeTrial(job.trial as TrialToJudge);
    }
  }
}

import type { z } from 'zod';
import type { judgement } from '../../desk/trials/trial-judgement.schema.js';
import type { planAnswer, protocolAnswer } from '../../desk/trials/trial.schema.js';
import type { FiledUnder } from '../../platform/http/file-name.js';

type Judgement = z.output<typeof judgement>;

/** Under what the files of a trial are saved. */
export function planFiledUnder({ trial }: z.output<typeof planAnswer>): FiledUnder {
  return { what: 'trial plan', of: trial };
}

export function protocolFiledUnder({ trial, beginsOn }: z.output<typeof protocolAnswer>): FiledUnder {
  return { what: 'trial protocol', of: trial, from: beginsOn };
}

export function judgementFiledUnder({ trial, asOf }: Judgement): FiledUnder {
  return { what: 'trial report', of: trial.name, onDay: asOf };
}

export function pictureFiledUnder(picture: string, { trial, asOf }: Judgement): FiledUnder {
  return { what: `trial ${picture}`, of: trial.name, onDay: asOf };
}

import { z } from 'zod';
import { figureIn, wordsIn } from '../../core/units/wording.js';
import type { UnitSystem } from '../../core/units/unit.js';
import type { RaisedCaution } from '../../core/cautions/caution.js';

/** A caution as answered: the number that raised it, the threshold, its source and whom to ask. */
export const cautionOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    title: z.string().describe('Title, the same for every one of this kind'),
    severity: z.enum(['notice', 'watch', 'danger']).describe('How pressing it is: notice, watch or danger'),
    subject: z.string().describe('What it is about; null for the whole ration').nullable(),
    lotId: z
      .uuid()
      .describe('The hay lot it is about, by its id; null for anything that is no lot on record')
      .nullable(),
    given: z.number().describe('The figure that raised it'),
    threshold: z.number().describe('The threshold it passed'),
    unit: z.string().describe('Unit of the number and of the threshold'),
    message: z.string().describe('What is to be known, in a sentence'),
    advice: z.string().describe('What to do about it, and whom to ask first'),
    consult: z.array(z.string()).describe('Whom to ask before acting: a veterinarian, a nutritionist, the lab'),
    source: z.string().describe('Where the threshold comes from'),
    guide: z.string().describe('Published guide that was followed').nullable(),
    restsOnBookValue: z.boolean().describe('True if the figure is a book value, not a test'),
  })
  .meta({
    id: 'Caution',
    description:
      'A caution raised by data; it defers to a veterinarian, a licensed nutritionist, the lab and local codes',
  });

/** In the answer to an entry about a lot, and where that entry is read by itself. */
export const lotCautionsOut = z
  .array(cautionOut)
  .nullable()
  .describe('Cautions now in force for the lot, as if it were fed alone; null in a list');

/** Of the records of a file, those that raise cautions. */
export const rowCautionsOut = {
  rowCautions: z
    .array(
      z.object({
        row: z.number().int().describe('First row of the record in the file; 1 is the header'),
        cautions: z.array(cautionOut).describe('As the record by itself is answered with them, worst first'),
      }),
    )
    .nullable()
    .describe(
      'Cautions of a file of feedings, feeding by feeding, by row; looked for on the newest seven days of each herd, ' +
        'on days with less than half or more than twice its usual amount, and on days with a lot that may do harm in ' +
        'one meal, in 1,000 feedings at most; null for another file, in a list and where an import is read again',
    ),
  judgedRecordCount: z
    .number()
    .int()
    .nullable()
    .describe('How many feedings of the file these cautions were looked for in; null where there are none to look for'),
};

/** What is told of a file that nobody judges. */
export const NO_FILE_CAUTIONS = { rowCautions: null, judgedRecordCount: null, lotCautions: null } as const;

/** Sums of the same weights in another order differ in the last digits. */
const figureOf = (value: number): number => Number(value.toPrecision(12));

/** Hay on offer and hay of a calculation has no id of a record. */
const LOT_ON_RECORD = z.uuid();

export function cautionAnswer(caution: RaisedCaution, units: UnitSystem): z.input<typeof cautionOut> {
  const given = figureIn(units, { value: caution.given, unit: caution.unit });
  return {
    code: caution.code,
    title: caution.title,
    severity: caution.severity,
    subject: caution.subject?.name ?? null,
    lotId: LOT_ON_RECORD.safeParse(caution.subject?.id).data ?? null,
    given: figureOf(given.value),
    threshold: figureOf(figureIn(units, { value: caution.threshold, unit: caution.unit }).value),
    unit: given.unit,
    message: wordsIn(units, caution.message),
    advice: wordsIn(units, caution.advice),
    consult: [...caution.consult],
    source: caution.source,
    guide: caution.guide,
    restsOnBookValue: caution.restsOnBookValue,
  };
}

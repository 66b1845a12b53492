import { z } from 'zod';
import { createFeeding } from '../../../src/records/feedings/feeding.schema.js';
import { createHayPurchase } from '../../../src/records/hay/purchases/hay-purchase.schema.js';
import { bodyOf } from '../../../src/records/import/import-kind.js';
import { fieldProblems } from '../../../src/platform/http/field-problems.js';
import type { FieldProblem } from '../../../src/platform/http/problem.js';

const HERD = '01890a5d-ac96-774b-bcce-b302099a8057';

function findings(schema: z.ZodType, input: unknown): FieldProblem[] {
  const result = schema.safeParse(input);
  return result.success ? [] : fieldProblems(result.error, 'body', input);
}

const feeding = (part: unknown, rest: object = {}) => ({
  herdId: HERD,
  fedOn: '2027-01-12',
  method: 'bunk',
  layers: [{ role: 'mixed', parts: [part] }],
  ...rest,
});
const feedingFindings = (input: unknown) => findings(bodyOf(createFeeding), input);

describe('A finding of the schema is said in plain words', () => {
  it.each([
    ['a field that is missing', { herdId: undefined }, '#/herdId', 'missing', 'herdId is required.'],
    ['a day that no calendar has', { fedOn: '2027-02-30' }, '#/fedOn', 'invalid-format', 'February 30 does not exist.'],
    [
      'a leap day of another year',
      { fedOn: '2027-02-29' },
      '#/fedOn',
      'invalid-format',
      'February 29, 2027, does not exist.',
    ],
    ['a month too many', { fedOn: '2027-13-01' }, '#/fedOn', 'invalid-format', 'Month 13 does not exist.'],
    ['a day in another form', { fedOn: '1/12/2027' }, '#/fedOn', 'invalid-format', 'Use YYYY-MM-DD.'],
    ['another type', { fedOn: 20270112 }, '#/fedOn', 'invalid-type', 'fedOn must be text.'],
    ['an empty list', { layers: [] }, '#/layers', 'too-small', 'layers must not be empty.'],
    ['an id that is none', { herdId: 'Cows' }, '#/herdId', 'invalid-format', 'herdId must be a UUID.'],
  ])('%s', (_what, rest, pointer, code, message) => {
    expect(feedingFindings(feeding({ hayLotId: HERD, bales: '2' }, rest))).toMatchObject([{ pointer, code, message }]);
  });

  it('a word that is none of a list', () => {
    expect(feedingFindings(feeding({ hayLotId: HERD, bales: '2' }, { method: 'catapult' }))).toMatchObject([
      {
        pointer: '#/method',
        code: 'invalid-value',
        message: expect.stringMatching(/^method must be one of bunk, /) as unknown,
      },
    ]);
  });

  it('the one word that is taken, without a list of one', () => {
    const percent = z.strictObject({ share: z.strictObject({ value: z.number(), unit: z.literal('%') }) });
    expect(findings(percent, { share: { value: 1, unit: 'percent' } })).toMatchObject([
      { pointer: '#/share/unit', given: 'percent', allowed: '%', message: 'share.unit must be %.' },
    ]);
  });

  it('an empty text, a number too large, a number with a fraction, a body that is a list', () => {
    const body = z.strictObject({ vendor: z.string().min(1), count: z.int().max(5), whole: z.int() });
    expect(findings(body, { vendor: '', count: 6, whole: 1.5 }).map(({ message }) => message)).toEqual([
      'vendor must not be empty.',
      'count must be at most 5.',
      'whole must be a whole number.',
    ]);
    expect(findings(body, []).map(({ pointer, message }) => [pointer, message])).toEqual([
      ['#', 'The body must be an object.'],
    ]);
  });

  it("a rule of the schema's own keeps its words and gets the name of its field", () => {
    const body = z.strictObject({ head: z.number().refine((head) => head > 0, 'must be more than 0') });
    expect(findings(body, { head: 0 })).toMatchObject([
      { allowed: 'must be more than 0', message: 'head must be more than 0.' },
    ]);
  });

  it('a field that is not known says what was given, but for a secret', () => {
    expect(findings(z.strictObject({}), { color: 'red', passphrase: 'never shown' })).toEqual([
      {
        pointer: '#/color',
        code: 'unknown-field',
        given: 'red',
        allowed: 'no field of that name',
        message: 'There is no field "color" here.',
      },
      {
        pointer: '#/passphrase',
        code: 'unknown-field',
        allowed: 'no field of that name',
        message: 'There is no field "passphrase" here.',
      },
    ]);
  });
});

describe('Of a choice between forms', () => {
  it('the form that comes nearest says what is wrong with it', () => {
    expect(feedingFindings(feeding({ hayLotId: HERD, weight: { value: 500, unit: 'pounds' } }))).toMatchObject([
      {
        pointer: '#/layers/0/parts/0/weight/unit',
        code: 'invalid-value',
        given: 'pounds',
        allowed: expect.stringMatching(/^one of (\w+, )+\w+$/) as unknown,
        message: expect.stringMatching(/^weight\.unit must be one of .*lb/) as unknown,
      },
    ]);
  });

  it('a field of no form is named', () => {
    expect(feedingFindings(feeding({ hayLotId: HERD, bales: '2', note: 'x' }))).toMatchObject([
      { pointer: '#/layers/0/parts/0/note', code: 'unknown-field', given: 'x' },
    ]);
  });

  it('a part without a quantity is told both ways to give one', () => {
    expect(feedingFindings(feeding({ hayLotId: HERD }))).toMatchObject([
      {
        pointer: '#/layers/0/parts/0',
        code: 'missing',
        allowed: 'weight, or bales',
        message: 'Give weight, or bales.',
      },
    ]);
  });

  it('what every form lacks is said once, beside the choice', () => {
    expect(feedingFindings(feeding({})).map(({ pointer, message }) => [pointer, message])).toEqual([
      ['#/layers/0/parts/0/hayLotId', 'hayLotId is required.'],
      ['#/layers/0/parts/0', 'Give weight, or bales.'],
    ]);
  });

  it('a decimal of another type, and one in another form', () => {
    const of = (value: unknown) =>
      feedingFindings(feeding({ hayLotId: HERD, weight: { value, unit: 'lb' } })).map((one) => [
        one.pointer,
        one.code,
        one.message,
      ]);
    const pointer = '#/layers/0/parts/0/weight/value';
    expect(of(true)).toEqual([[pointer, 'invalid-type', 'weight.value must be text or a number.']]);
    expect(of('1,150')).toEqual([
      [pointer, 'invalid-format', expect.stringMatching(/^weight\.value must be a decimal/)],
    ]);
    expect(of(undefined)).toEqual([[pointer, 'missing', 'weight.value is required.']]);
  });

  it('told apart by one field, that field is required or one of its words', () => {
    const price = (given: unknown) =>
      findings(bodyOf(createHayPurchase), { price: given }).filter(({ pointer }) => pointer?.startsWith('#/price'));
    expect(price({})).toMatchObject([
      { pointer: '#/price/basis', code: 'missing', message: 'price.basis is required.' },
    ]);
    expect(price({ basis: 'per-feel' })).toMatchObject([
      {
        pointer: '#/price/basis',
        given: 'per-feel',
        message: expect.stringMatching(/^price\.basis must be one of /) as unknown,
      },
    ]);
  });
});

/*
 * A report is typed in twice: by two people, from two files, or with another key. The mean of a lot would count its
 * sample twice, so it is refused, and what may be a repeat is told. Everything here is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let lotId: string;
let herdId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'nutritionist', 'hand'] });
  const ranchId = await ranch(operation);
  lotId = (await lot(operation, ranchId, { name: 'Stack' })).lotId;
  herdId = await herd(operation, ranchId);
});
afterAll(async () => {
  await world.close();
});

interface Entered extends WithId {
  type: string;
  detail: string;
  reportNumber: string | null;
  errors: { pointer: string; code: string; message: string }[];
  warnings: { code: string; message: string }[];
}
const percent = (value: string): object => ({ value, unit: '%' });
const report = (more: Record<string, unknown> = {}): object => labTestBody(lotId, { reportNumber: undefined, ...more });
const enter = (body: object, key?: string) =>
  operation.as.manager.post<Entered>(operation.at('/lab-tests'), body, key === undefined ? {} : { key });

/** Crude protein that a head gets from 20 lb of the lot, g. */
const protein = async (): Promise<number | null | undefined> =>
  (
    await operation.as.nutritionist.post<{ lines: { nutrient: string; supply: number | null }[] }>(
      operation.at(`/herds/${herdId}/ration-evaluation`),
      {
        basis: 'as-fed',
        amount: { weight: { value: '12', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
      },
      { query: { units: 'metric' }, expect: 200 },
    )
  ).body.lines.find((one) => one.nutrient === 'crudeProtein')?.supply;

const BETTER = {
  dryMatter: percent('89.0'),
  crudeProtein: percent('11.3'),
  acidDetergentFiber: percent('34.9'),
  neutralDetergentFiber: percent('55.1'),
};

it('an exact repeat is refused in words and leaves the mean as it was', async () => {
  const first = await enter(report());
  await enter(report({ analysis: BETTER }));
  const before = await protein();
  for (const again of [report(), report({ lab: 'forage  Laboratory', note: 'typed by the other one' })]) {
    const refused = await enter(again);
    expect(refused).toMatchObject({
      status: 422,
      body: { errors: [{ pointer: '#/analysis', code: 'recorded-already' }] },
    });
    for (const told of [first.body.id, '2026-11-05', 'Forage laboratory', 'withdraw', 'number'])
      expect(refused.body.errors[0]?.message).toContain(told);
  }
  expect(await protein()).toBe(before);
});

it('typed with the same key it is done once; withdrawn, it may be entered again', async () => {
  const body = report();
  const [first, repeated] = [await enter(body, 'one-report'), await enter(body, 'one-report')];
  expect([first.status, repeated.status, repeated.body.id]).toEqual([201, 201, first.body.id]);
  await operation.as.manager.post(
    operation.at(`/lab-tests/${first.body.id}/reversal`),
    { reason: 'wrong lot' },
    { expect: 201 },
  );
  expect((await enter(body)).status).toBe(201);
});

it('the number of the laboratory tells samples apart, reads back, and is taken once', async () => {
  expect((await enter(report({ reportNumber: 'B 7' }))).body).toMatchObject({ reportNumber: 'B 7', warnings: [] });
  expect((await enter(report({ reportNumber: 'B 8' }))).body).toMatchObject({ reportNumber: 'B 8', warnings: [] });
  expect(await enter(report({ reportNumber: 'b 8', analysis: BETTER }))).toMatchObject({
    status: 422,
    body: { errors: [{ pointer: '#/reportNumber', code: 'recorded-already' }] },
  });
});

it('what may be the same sample is taken, and told', async () => {
  const first = await enter(report());
  const likely = await enter(report({ sampledOn: '2026-11-06' }));
  expect(likely).toMatchObject({ status: 201, body: { warnings: [{ code: 'likely-entered-before' }] } });
  expect(likely.body.warnings[0]?.message).toContain(`3 of the 3 figures that it shares with the test of 2026-11-05`);
  expect(likely.body.warnings[0]?.message).toContain(first.body.id);
  expect((await enter(report({ analysis: BETTER }))).body.warnings).toEqual([]);
});

it('many that enter it at once enter it once', async () => {
  const answers = await Promise.all(Array.from({ length: 5 }, () => enter(report())));
  expect(answers.map((one) => one.status).sort()).toEqual([201, 422, 422, 422, 422]);
});

it('a file with a report that stands is refused by its row', async () => {
  await enter(report());
  const text =
    'lot,lab,report_number,sampled_on,method,basis,dry_matter_percent,crude_protein_percent\n' +
    'Stack,Forage laboratory,C 1,2026-11-20,near-infrared,dry-matter,88,9\n' +
    'Stack,Forage laboratory,,2026-11-05,near-infrared,dry-matter,88.4,9.1\n' +
    'Stack,Forage laboratory,C 1,2026-11-20,near-infrared,dry-matter,88,9\n';
  const send = (query: Record<string, string>, expected: number) =>
    operation.as.manager.post<{ errors: { parameter: string; code: string }[] }>(
      operation.at('/imports/lab-tests'),
      text,
      { headers: { 'Content-Type': 'text/csv' }, query, expect: expected },
    );
  // The row that comes twice is asked about first; whoever would enter it too is told that it cannot be.
  expect((await send({}, 409)).body.errors).toMatchObject([{ parameter: 'row 4', code: 'likely-duplicate' }]);
  const { body } = await send({ duplicates: 'enter' }, 422);
  expect(body.errors.map((one) => [one.parameter, one.code])).toEqual([
    ['row 3, column dry_matter_percent', 'recorded-already'],
    ['row 4, column report_number', 'recorded-already'],
  ]);
});

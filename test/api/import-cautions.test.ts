/*
 * A file of feedings tells what each of them would have been answered with: the cautions of the judge, by row, when it
 * is tried and when it is taken in. Invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { cows, feedingBody, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Caution {
  code: string;
  severity: string;
  message: string;
}
interface Told extends WithId {
  problemCount: number;
  judgedRecordCount: number | null;
  rowCautions: { row: number; cautions: Caution[] }[] | null;
}

const CSV = { headers: { 'content-type': 'text/csv' } };
const HEADER = 'feeding,herd,fed_on,method,role,lot,weight_lb\n';

describe('a file of feedings', () => {
  let world: World;
  let operation: Operation;
  let heifers: string;
  let hot: string;
  let herdOf: { cows: string };

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    const ranchId = await ranch(operation);
    heifers = await herd(operation, ranchId, {
      name: 'Heifers',
      head: 40,
      sex: 'heifer',
      cattleClass: 'replacement-heifer',
      bodyWeight: { value: '620', unit: 'lb' },
    });
    herdOf = { cows: await cows(operation, ranchId, { head: 60 }) };
    await lot(operation, ranchId, { name: 'Meadow', tons: '200' });
    hot = (await lot(operation, ranchId, { name: 'Sudan', hayKind: 'sorghum-sudan', tons: '50' })).lotId;
    const { analysis } = labTestBody(hot) as { analysis: object };
    const nitrate = { value: '4800', unit: 'ppm NO3-N' };
    await operation.as.manager.post(
      operation.at('/lab-tests'),
      labTestBody(hot, { analysis: { ...analysis, nitrate } }),
      { expect: 201 },
    );
  });
  afterAll(async () => {
    await world.close();
  });

  const check = async (text: string, kind = 'feedings'): Promise<Told> =>
    (
      await operation.as.manager.post<Told>(operation.at(`/imports/${kind}/check`), text, {
        ...CSV,
        key: null,
        expect: 200,
      })
    ).body;
  const take = async (text: string): Promise<Told> =>
    (await operation.as.manager.post<Told>(operation.at('/imports/feedings'), text, { ...CSV, expect: 201 })).body;
  const read = async (id: string): Promise<Caution[]> =>
    (await operation.as.manager.get<{ cautions: Caution[] }>(operation.at(`/feedings/${id}`), { expect: 200 })).body
      .cautions;
  const codesOf = ({ rowCautions }: Told, row: number): string[] =>
    (rowCautions ?? []).find((one) => one.row === row)?.cautions.map(({ code }) => code) ?? [];

  it('tells of a ten-fold amount what the entry by itself is answered with, and keeps nothing of a check', async () => {
    const text = `${HEADER},Heifers,2027-01-08,ring-feeder,mixed,Meadow,6400\n`;
    const checked = await check(text);
    expect(checked).toMatchObject({ problemCount: 0, judgedRecordCount: 1 });
    expect(codesOf(checked, 2)).toContain('more-than-eaten');
    const meadow = (
      await operation.as.manager.get<{ items: (WithId & { name: string })[] }>(operation.at('/hay-lots'), {
        expect: 200,
      })
    ).body.items.find(({ name }) => name === 'Meadow');
    const byItself = await operation.as.manager.post<{ cautions: Caution[] } & WithId>(
      operation.at('/feedings'),
      feedingBody(heifers, [[meadow?.id ?? '', '6400']], {
        fedOn: '2027-01-08',
        method: 'ring-feeder',
        layers: [{ role: 'mixed', parts: [{ hayLotId: meadow?.id, weight: { value: '6400', unit: 'lb' } }] }],
      }),
      { expect: 201 },
    );
    expect(checked.rowCautions?.[0]?.cautions).toEqual(byItself.body.cautions);
    await operation.as.manager.post(
      operation.at(`/feedings/${byItself.body.id}/reversal`),
      { reason: 'Tried by itself' },
      { expect: 201 },
    );
    const taken = await take(text);
    expect(taken.rowCautions).toEqual(checked.rowCautions);
    // Sent again, it is answered with the same import.
    expect((await take(text)).rowCautions).toEqual(checked.rowCautions);
    // Nothing of it would be entered again, so there is nothing to caution of.
    expect(await check(text)).toMatchObject({ recordCount: 0, rowCautions: [], judgedRecordCount: 0 });
  });

  it('tells row by row what each feeding is answered with, by the first row of each', async () => {
    const text =
      HEADER +
      [
        'a,Heifers,2027-01-10,windrow-on-ground,coarse,Meadow,600',
        'a,,,,rich,Sudan,300',
        'b,Cows,2027-01-10,windrow-on-ground,mixed,Meadow,1700',
        ',Cows,2027-01-11,ring-feeder,mixed,Sudan,1700',
      ].join('\n');
    const checked = await check(text);
    const taken = await take(text);
    expect(taken.rowCautions).toEqual(checked.rowCautions);
    expect(codesOf(checked, 5).some((code) => code.startsWith('nitrate'))).toBe(true);
    const { items } = (
      await operation.as.manager.get<{ items: { row: number; recordId: string }[] }>(
        operation.at(`/imports/${taken.id}/records`),
        { expect: 200 },
      )
    ).body;
    expect(items.map(({ row }) => row)).toEqual([2, 4, 5]);
    for (const { row, recordId } of items)
      expect((checked.rowCautions ?? []).find((one) => one.row === row)?.cautions ?? []).toEqual(await read(recordId));
  });

  it('tells of a long file what is fed now, and old days with a slip or a lot that may harm', async () => {
    const day = (index: number): string => new Date(Date.UTC(2026, 10, 5 + index)).toISOString().slice(0, 10);
    const rows = Array.from({ length: 30 }, (_, index) => {
      const [lotName, pounds] = index === 4 ? ['Sudan', 640] : ['Meadow', index === 9 ? 6_400 : 640];
      return `,Heifers,${day(index)},windrow-on-ground,mixed,${lotName},${pounds}`;
    });
    const checked = await check(HEADER + rows.join('\n'));
    expect(checked).toMatchObject({ problemCount: 0, judgedRecordCount: 9 });
    expect(codesOf(checked, 11)).toContain('more-than-eaten');
    expect(codesOf(checked, 6).some((code) => code.startsWith('nitrate'))).toBe(true);
  });

  it('tells them beside the problems of other rows, and as a table', async () => {
    const text =
      HEADER +
      [
        ',Heifers,2027-01-12,ring-feeder,mixed,Meadow,6400',
        ',Heifers,2027-01-13,ring-feeder,mixed,No such lot,640',
      ].join('\n');
    const checked = await check(text);
    expect(checked).toMatchObject({ problemCount: 1, problems: [{ row: 3 }] });
    expect(codesOf(checked, 2)).toContain('more-than-eaten');
    const { text: table } = await operation.as.manager.post(operation.at('/imports/feedings/check?format=csv'), text, {
      ...CSV,
      key: null,
      expect: 200,
    });
    expect(table.split('\n').filter((line) => line.startsWith('2,'))).toEqual(
      expect.arrayContaining([expect.stringContaining('more-than-eaten') as string]),
    );
  });

  it('asks about what may harm before it is entered, once for all rows, as an entry by itself is asked', async () => {
    interface Asked extends Told {
      type: string;
      errors: { code: string; parameter: string; usual: string; source: string }[];
      asked: { row: number; code: string }[];
    }
    const text =
      HEADER +
      [',Cows,2026-12-20,ring-feeder,mixed,Sudan,1700', ',Cows,2026-12-21,ring-feeder,mixed,Sudan,1700'].join('\n');
    const byItself = await operation.as.manager.post<Asked>(
      operation.at('/feedings'),
      feedingBody(herdOf.cows, [[hot, '1700']], {
        fedOn: '2026-12-20',
        method: 'ring-feeder',
        layers: [{ role: 'mixed', parts: [{ hayLotId: hot, weight: { value: '1700', unit: 'lb' } }] }],
      }),
    );
    expect([byItself.status, byItself.body.type]).toEqual([409, '/problems/confirm']);
    const codes = byItself.body.errors.map(({ code }) => code);
    const checked = (await check(text)) as Asked;
    expect(checked.asked.map(({ row, code }) => `${row} ${code}`)).toEqual(
      [2, 3].flatMap((row) => codes.map((code) => `${row} ${code}`)),
    );
    const send = (confirm?: string) =>
      operation.as.manager.post<Asked>(operation.at('/imports/feedings'), text, {
        ...CSV,
        ...(confirm === undefined ? {} : { query: { confirm } }),
      });
    const asked = await send();
    expect([asked.status, asked.body.type]).toEqual([409, '/problems/confirm']);
    expect(asked.body.errors.map(({ parameter, code }) => `${parameter} ${code}`)).toEqual(
      [2, 3].flatMap((row) => codes.map((code) => `row ${row} ${code}`)),
    );
    const taken = await send(codes.join(','));
    expect(taken.status).toBe(201);
    const { items } = (
      await operation.as.manager.get<{ items: { recordId: string }[] }>(
        operation.at(`/imports/${taken.body.id}/records`),
        { expect: 200 },
      )
    ).body;
    for (const { recordId } of items) {
      const { body } = await operation.as.manager.get<{ confirmed: { code: string }[] }>(
        operation.at(`/feedings/${recordId}`),
        { expect: 200 },
      );
      expect(body.confirmed.map(({ code }) => code).sort()).toEqual([...codes].sort());
    }
  });

  it('of lab tests tells what the lots are under: in a check as when it is taken in', async () => {
    interface OfLots extends Told {
      lotCautions: Caution[] | null;
    }
    const text =
      'lot,lab,sampled_on,method,basis,dry_matter_percent,nitrate_ppm_no3_n\n' +
      'Meadow,A lab,2027-01-10,wet-chemistry,dry-matter,88,5200\n';
    const before = (await check(text, 'lab-tests')) as OfLots;
    const taken = await operation.as.manager.post<OfLots>(operation.at('/imports/lab-tests'), text, {
      ...CSV,
      expect: 201,
    });
    expect(taken.body.lotCautions?.map(({ code }) => code)).toContain('nitrate-single-hay');
    expect(before.lotCautions).toEqual(taken.body.lotCautions);
  });

  it('tells none of a file of another kind, nor in a list', async () => {
    const moves = 'herd,happened_on,kind,head\nHeifers,2027-01-05,in,1\n';
    expect(await check(moves, 'head-changes')).toMatchObject({ rowCautions: null, judgedRecordCount: null });
    const { items } = (await operation.as.manager.get<{ items: Told[] }>(operation.at('/imports'), { expect: 200 }))
      .body;
    expect(items.length).toBeGreaterThan(0);
    for (const one of items) expect(one.rowCautions).toBeNull();
  });
});

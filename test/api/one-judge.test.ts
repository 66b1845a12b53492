/*
 * One herd on one day: whoever asks, by whatever address, is told one need, one supply and one verdict. Invented.
 */
import { parse } from 'csv-parse/sync';
import { printedWords } from '../support/printed-words.js';
import fc, { examples } from '../support/properties.js';
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  nutrient: string;
  supply: number | null;
  need: number | null;
  surplusPercent: number | null;
  verdict: string;
}

interface Caution {
  code: string;
  title: string;
  subject: string | null;
  message: string;
  severity: string;
  given: number;
}

interface Judged {
  lines: Line[];
  cautions: Caution[];
  costPerHeadDay: { amount: string } | null;
  wastedPercent: number;
  wastedRestsOn: string;
  weather: { temperature: { value: number } } | null;
  refusedBecause: { code: string }[];
  bookValues: { hayLot: string; fields: string[] }[];
  notes: { message: string }[];
  ratios?: { sulfurPercentOfDryMatter: number };
  layingCautions?: Caution[];
}

interface Facts {
  /** Day of breeding; none where nobody said. */
  bred: string | null;
  pounds: number;
  head: number;
  /** Part of the ration that is the second lot, %. */
  second: number;
  /** Mean of the day, °F. */
  temperature: number | null;
  windMph: number | null;
  /** mg/L of the well. */
  sulfate: string | null;
  /** ppm of NO3-N in the first lot. */
  nitrate: string | null;
  /** Stated in the ration, %. */
  wasted: string | null;
  /** Wasted of each feeding, lb. */
  wastedPounds: string | null;
  /** Ounces a head a day of a mineral kept in front of them, free choice. */
  mineral: string | null;
}

interface Cheapest {
  judgement: Judged | null;
  perHead: { value: string; unit: string };
  layers: { role: string; parts: { hayLotId: string; perHead: { value: string } }[] }[];
}
interface Standing {
  head: number;
  bodyWeight: { value: string; unit: string };
}
interface Laid {
  needed: { hayLotId: string; asFed: { value: string; unit: string } }[];
}
interface Budgeted {
  herdId: string;
  headDays: number;
  needed: { value: string; unit: string };
  waste: { percent: string; basis: string };
  intakeByMonth: (Standing & {
    onDay: string;
    need: { netEnergyMaintenance: { value: number }; dryMatterPredicted: { value: string } } | null;
    ration: { id: string } | null;
  })[];
}

interface Fed {
  herdId: string;
  rationId: string;
  placeId: string;
  ranchId: string;
  lots: string[];
}

const ON = '2027-01-14';
const COLD: Facts = {
  bred: '2026-06-20',
  pounds: 26,
  head: 50,
  second: 0,
  temperature: -15,
  windMph: 15,
  sulfate: '2600',
  nitrate: null,
  wasted: '6',
  wastedPounds: null,
  mineral: null,
};

describe('one herd, one day, one judge', () => {
  let world: World;
  let operation: Operation;
  let consulting: ApiClient;
  let made = 0;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { name: 'Cold ranch', roles: ['manager', 'hand', 'nutritionist'] });
    const consultant = await person(world, 'consultant');
    await join(world, consultant, operation.id, 'nutritionist', { seesPrices: true });
    consulting = await clientOf(world, consultant);
  });
  afterAll(async () => {
    await world.close();
  });

  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;

  const freeChoice = (hayLotId: string, weight: object): object => ({
    role: 'mixed',
    parts: [{ hayLotId, weight, freeChoice: true }],
  });

  /** A bagged mineral with at least 13 % calcium, as that of Clemson University Extension (BC-3001). */
  async function mineralLot(ranchId: string): Promise<string> {
    const { lotId } = await lot(operation, ranchId, { name: `Mineral ${made}`, hayKind: 'mineral', tons: '1' });
    const analysis = {
      dryMatter: { value: '97', unit: '%' },
      calcium: { value: '13', unit: '%', guarantee: 'minimum' },
    };
    await post('/lab-tests', {
      hayLotId: lotId,
      lab: 'Tag',
      sampledOn: '2026-11-05',
      method: 'label',
      basis: 'as-received',
      analysis,
    });
    return lotId;
  }

  /** A herd on a ranch and at a bunk of its own, fed for some days exactly what its ration in use says. */
  async function fedHerd(facts: Facts, firstFed = 12): Promise<Fed> {
    made += 1;
    const ranchId = await ranch(operation, { name: `Ranch ${made}` });
    const placeId = await post('/places', { ranchId, name: `Bunk ${made}`, kind: 'bunk-line' });
    const herdId = await herd(operation, ranchId, {
      name: `Spring calvers ${made}`,
      head: facts.head,
      placeId,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      ...(facts.bred === null ? {} : { bredOn: facts.bred }),
    });
    const lots = [
      (await lot(operation, ranchId, { name: `Meadow ${made}`, tons: '90' })).lotId,
      (await lot(operation, ranchId, { name: `Alfalfa ${made}`, hayKind: 'alfalfa', tons: '90' })).lotId,
    ];
    const analysis = labTestBody(lots[0] ?? '')['analysis'] as object;
    await post(
      '/lab-tests',
      labTestBody(lots[0] ?? '', {
        analysis: {
          ...analysis,
          sulfur: { value: '0.172', unit: '%' },
          ...(facts.nitrate === null ? {} : { nitrate: { value: facts.nitrate, unit: 'ppm NO3-N' } }),
        },
      }),
    );
    const mineral = facts.mineral === null ? [] : [await mineralLot(ranchId)];
    const ounces = Number(facts.mineral);
    const shares = [100 - facts.second, facts.second].flatMap((share, index) =>
      share === 0 ? [] : [{ hayLotId: lots[index] ?? '', share, role: index === 0 ? 'coarse' : 'rich' }],
    );
    const rationId = await post('/rations', {
      herdId,
      name: 'Winter',
      basis: 'as-fed',
      ...(facts.wasted === null ? {} : { wastedPercent: facts.wasted }),
      amount: { weight: { value: String(facts.pounds), unit: 'lb' }, basis: 'as-fed' },
      layers: [
        ...shares.map(({ hayLotId, share, role }) => ({ role, parts: [{ hayLotId, sharePercent: String(share) }] })),
        ...mineral.map((hayLotId) => freeChoice(hayLotId, { value: String(ounces), unit: 'oz' })),
      ],
    });
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from: '2027-01-02' }, 200);
    for (let day = firstFed; day <= 14; day += 1)
      await post('/feedings', {
        herdId,
        fedOn: `2027-01-${day}`,
        method: 'windrow-on-ground',
        layers: [
          ...shares.map(({ hayLotId, share, role }) => ({
            role,
            parts: [{ hayLotId, weight: { value: String((facts.pounds * facts.head * share) / 100), unit: 'lb' } }],
          })),
          ...mineral.map((hayLotId) => freeChoice(hayLotId, { value: String(ounces * facts.head), unit: 'oz' })),
        ],
        // Told of every day: a day of before it was known is judged as it was known then.
        ...(facts.wastedPounds === null ? {} : { wasted: { value: facts.wastedPounds, unit: 'lb' } }),
      });
    if (facts.temperature !== null)
      await post('/weather-days', {
        ranchId,
        onDay: ON,
        meanTemperature: { value: String(facts.temperature), unit: 'F' },
        ...(facts.windMph === null ? {} : { wind: { value: String(facts.windMph), unit: 'mph' } }),
      });
    if (facts.sulfate !== null) {
      const well = { placeId, source: 'Well', state: 'open' };
      await post('/water-checks', { ...well, checkedOn: '2026-12-01', sulfateMgPerL: facts.sulfate });
      await post('/water-checks', { ...well, checkedOn: '2027-01-13' });
    }
    return { herdId, rationId, placeId, ranchId, lots };
  }

  /** The same question by every address that judges a herd. */
  async function everywhere({ herdId, rationId, placeId }: Fed) {
    const { manager, hand } = operation.as;
    const asked = { query: { on: ON }, expect: 200 } as const;
    const evaluation = (await manager.get<Judged>(operation.at(`/rations/${rationId}/evaluation`), asked)).body;
    const review = (await manager.get<Judged>(operation.at(`/herds/${herdId}/ration-review`), asked)).body;
    const listed = (
      await manager.get<{ items: (Judged & { herdId: string })[] }>(operation.at('/ration-reviews'), {
        query: { on: ON, limit: '200' },
        expect: 200,
      })
    ).body.items.find((one) => one.herdId === herdId);
    const portfolio = (
      await consulting.get<{ items: { herdId: string; concerns: { code: string; given: number; words: string }[] }[] }>(
        '/v1/portfolio/herds',
        { query: { on: ON, limit: '200' }, expect: 200 },
      )
    ).body.items.find((one) => one.herdId === herdId);
    const need = (
      await manager.get<{
        requirements: {
          perHead: {
            netEnergyMaintenanceTotal: { value: number };
            crudeProtein: { value: number };
            rumenDegradableProtein: { value: number };
            sulfur: { value: number };
            dryMatterEaten: { value: string } | null;
            calcium: { value: number };
            dryMatterIntake: { value: string };
            totalDigestibleNutrients: { value: string } | null;
          } | null;
        }[];
      }>(operation.at(`/herds/${herdId}/requirements`), { query: { on: ON, edition: 'NRC2000' }, expect: 200 })
    ).body.requirements[0]?.perHead;
    const sheet = (
      await hand.get<{ herds: { cautions: Caution[]; notJudgedBecause: string[] }[]; water: { cautions: Caution[] } }>(
        operation.at(`/places/${placeId}/feed-sheet`),
        asked,
      )
    ).body;
    const drift = (
      await manager.get<{ judged: { fed: Judged; ration: Judged | null } }>(
        operation.at(`/herds/${herdId}/ration-drift`),
        { query: { from: '2027-01-08', until: ON }, expect: 200 },
      )
    ).body.judged;
    return { evaluation, review, listed, portfolio, need, sheet, drift };
  }

  /** The same herd by the addresses that judge more than one ration, more than one day, or show it on a page. */
  async function elsewhere({ herdId, rationId }: Fed) {
    const { manager, nutritionist } = operation.as;
    const get = async <Body extends object>(path: string, query: Record<string, string>): Promise<Body> =>
      (await manager.get<Body>(operation.at(path), { query, expect: 200 })).body;
    const whatIf = (
      await nutritionist.post<{ herds: { rations: { evaluation: Judged | null }[] }[] }>(
        operation.at('/what-if'),
        { herdIds: [herdId], rations: [{ kind: 'in-use' }, { kind: 'present' }, { kind: 'kept', rationId }] },
        { query: { on: ON }, expect: 200 },
      )
    ).body.herds[0]?.rations.map((one) => one.evaluation);
    // The day that stands for the month, in its usual weather.
    const middle = { on: '2027-01-15', weather: 'usual' };
    const evaluation = await get<Judged & Standing>(`/rations/${rationId}/evaluation`, middle);
    const season = (
      await get<{ herds: { months: (Judged & Standing & Laid)[] }[] }>('/season-ration-plan', {
        from: '2027-01',
        until: '2027-01',
        weather: 'usual',
        herdId,
      })
    ).herds[0]?.months[0];
    const budgetFrom = async (from: string) =>
      (
        await get<{ herds: Budgeted[]; notCounted: { herdId: string }[] }>('/reports/hay-budget', {
          from,
          until: '2027-01-31',
          intake: 'ration-in-use',
        })
      ).herds.find((one) => one.herdId === herdId);
    const budget = await budgetFrom('2027-01-01');
    // A season's plan that begins with the present month, today the 15th and not fed, needs hay from today on.
    const toCome = await budgetFrom('2027-01-15');
    const page = (
      await world.application.inject({
        method: 'GET',
        url: `/yard/operations/${operation.id}/ration-report?on=${ON}&herdId=${herdId}`,
        headers: { accept: 'text/html', host: 'yard.test:4180', cookie: await pageCookie() },
      })
    ).payload;
    return { whatIf, evaluation, season, budget, toCome, page };
  }

  /** The cheapest ration of the herd's own lots, and the same ration judged at the address that judges rations. */
  async function cheapest({ herdId, lots }: Fed): Promise<{ told: Judged; judged: Judged } | null> {
    const { nutritionist } = operation.as;
    const answer = (
      await nutritionist.post<Cheapest>(
        operation.at(`/herds/${herdId}/least-cost-ration`),
        { on: ON, days: 1, lots: lots.map((hayLotId) => ({ hayLotId })) },
        { key: null, expect: 200 },
      )
    ).body;
    if (answer.judgement === null) return null;
    const parts = answer.layers.flatMap(({ role, parts: own }) => own.map((part) => ({ role, ...part })));
    const shares = parts.map(({ perHead }) =>
      Number(((Number(perHead.value) / Number(answer.perHead.value)) * 100).toFixed(4)),
    );
    shares[0] = 100 - shares.slice(1).reduce((sum, share) => sum + share, 0);
    const judged = await nutritionist.post<Judged>(
      operation.at(`/herds/${herdId}/ration-evaluation`),
      {
        basis: 'as-fed',
        amount: { weight: answer.perHead, basis: 'as-fed' },
        layers: parts.map(({ role, hayLotId }, index) => ({
          role,
          parts: [{ hayLotId, sharePercent: (shares[index] ?? 0).toFixed(4) }],
        })),
      },
      { key: null, query: { on: ON }, expect: 200 },
    );
    return { told: answer.judgement, judged: judged.body };
  }

  it('a report of a herd that nothing was fed to tells of its ration in use, with every caution', async () => {
    const unfed = await fedHerd({ ...COLD, nitrate: '2600' }, 15);
    const { evaluation } = await everywhere(unfed);
    expect(evaluation.cautions.filter(({ severity }) => severity === 'danger').map(({ code }) => code)).toEqual(
      expect.arrayContaining(['nitrate-single-hay', 'sulfur-total']),
    );
    const page = bare(String(await inForm(`/ration-report?on=${ON}&herdId=${unfed.herdId}`)));
    expect(page).toContain(bare('Nothing fed is on record. Judged by the ration in use, "Winter", as if it were fed.'));
    expect(evaluation.cautions.map(({ message }) => message).filter((one) => !page.includes(bare(one)))).toEqual([]);
    expect(page.match(/DANGER\./g)).toHaveLength(evaluation.cautions.filter((one) => one.severity === 'danger').length);
  });

  interface SheetTold {
    herds: { cautions: Caution[] }[];
    water: { cautions: Caution[] };
  }
  /** A form of a page in which the herd is told: what a browser shows, what is printed, what a spreadsheet opens. */
  async function inForm(path: string): Promise<Buffer> {
    const answer = await world.application.inject({
      method: 'GET',
      url: `/yard/operations/${operation.id}${path}`,
      headers: { accept: 'text/html', host: 'yard.test:4180', cookie: await pageCookie() },
    });
    expect([path, answer.statusCode]).toEqual([path, 200]);
    return answer.rawPayload;
  }
  /** Words without blanks, which a form may break elsewhere, and without the marks of HTML. */
  const bare = (words: string): string =>
    words.replaceAll('&#39;', "'").replaceAll('&quot;', '"').replaceAll('&amp;', '&').replaceAll(/\s/g, '');
  /** Whatever is handed on tells of the herd what the addresses tell: report and sheet on paper, budget as a table. */
  async function handedOn({ herdId, placeId }: Fed, review: Judged, sheet: SheetTold): Promise<void> {
    const report = printedWords(await inForm(`/ration-report?on=${ON}&herdId=${herdId}&format=pdf`));
    const page = String(await inForm(`/ration-report?on=${ON}&herdId=${herdId}`));
    const onPaper = linesOnPage(page).filter(
      ([fed, needed]) => !report.includes(fed ?? '') || !report.includes(needed ?? ''),
    );
    expect(onPaper).toEqual([]);
    expect(linesOnPage(page)).toHaveLength(review.lines.length);
    const told = [...(sheet.herds[0]?.cautions ?? []), ...sheet.water.cautions];
    const onSheet = String(await inForm(`/places/${placeId}/feed-sheet?on=${ON}`));
    const printed = printedWords(await inForm(`/places/${placeId}/feed-sheet?on=${ON}&format=pdf`));
    for (const { message } of told)
      expect([onSheet, printed].filter((form) => !bare(form).includes(bare(message)))).toEqual([]);
    const path = operation.at('/reports/hay-budget');
    const query = { from: '2027-01-01', until: '2027-01-31', intake: 'ration-in-use' };
    const { body } = await operation.as.manager.get<{ months: (Budgeted & { herd: string })[] }>(path, {
      query,
      expect: 200,
    });
    const { text } = await operation.as.manager.get(path, {
      query: { ...query, format: 'csv', head: 'no' },
      expect: 200,
    });
    const rows = parse<Record<string, string>>(text, { columns: true });
    for (const { herd: name, headDays, needed } of body.months)
      expect(
        rows
          .filter((row) => row['herd'] === name && row['hay_kind'] === 'all')
          .map((row) => [row['head_days'], row[`needed_${needed.unit}`]]),
      ).toContainEqual([String(headDays), needed.value]);
  }

  async function pageCookie(): Promise<string> {
    const sessions = world.application.get(SignInStore);
    const { id } = operation.people.manager;
    return `rickyard_pages=${await sessions.openPageSession(id, 'test', world.clock.now(), '10.0.0.9', 12)}`;
  }

  /** Fed, needed and verdict of each line of the table on a page. */
  function linesOnPage(page: string): string[][] {
    const table = /<table[^>]*>(?:(?!<\/table>)[\s\S])*Needed[\s\S]*?<\/table>/.exec(page)?.[0] ?? '';
    return [...table.matchAll(/<tr>([\s\S]*?)<\/tr>/g)].flatMap(([, row = '']) => {
      const cells = [...row.matchAll(/<t[dh][^>]*>([\s\S]*?)<\/t[dh]>/g)].map(([, cell = '']) => cell);
      return cells[0] === 'Nutrient' ? [] : [[cells[1] ?? '', cells[2] ?? '', (cells[4] ?? '').split(',')[0] ?? '']];
    });
  }

  function verdictOnPage({ nutrient, verdict }: Line): string {
    if (verdict !== 'no-need') return verdict;
    return nutrient === 'fiberCapacity' ? 'they can hold it' : 'none needed';
  }

  const lineOf = ({ lines }: Judged, nutrient: string): Line | undefined =>
    lines.find((line) => line.nutrient === nutrient);

  it('counts the weather of the day at every address: the review is as short as the evaluation', async () => {
    const { evaluation, review, listed, portfolio, need } = await everywhere(await fedHerd(COLD));
    const energy = lineOf(evaluation, 'netEnergyMaintenance');
    expect(energy?.verdict).toBe('short');
    expect(review.lines).toEqual(evaluation.lines);
    expect(listed?.lines).toEqual(evaluation.lines);
    expect(review.weather).toEqual(evaluation.weather);
    expect(portfolio?.concerns.find((one) => one.words.startsWith('Net energy maintenance'))?.given).toBeCloseTo(
      energy?.surplusPercent ?? NaN,
      0,
    );
    expect(need?.netEnergyMaintenanceTotal.value).toBe(energy?.need);
  });

  it('judges in the weather of choice: as stated, or as the month usually is, the same at every address', async () => {
    const { herdId, rationId, ranchId } = await fedHerd({ ...COLD, temperature: 20 });
    // January a year before: ten days of -15 °F and 15 mph, as the first test has them on its day.
    for (let day = 1; day <= 10; day += 1)
      await post('/weather-days', {
        ranchId,
        onDay: `2026-01-${String(day).padStart(2, '0')}`,
        meanTemperature: { value: '-15', unit: 'F' },
        wind: { value: '15', unit: 'mph' },
      });
    const paths = [
      operation.at(`/rations/${rationId}/evaluation`),
      operation.at(`/herds/${herdId}/ration-review`),
    ] as const;
    const judged = async (path: string, query: Record<string, string>): Promise<Judged & { weather: unknown }> =>
      (await operation.as.manager.get<Judged>(path, { query: { on: ON, ...query }, expect: 200 })).body;
    const need = (one: Judged): number => lineOf(one, 'netEnergyMaintenance')?.need ?? NaN;
    for (const path of paths) {
      const recorded = await judged(path, {});
      const usual = await judged(path, { weather: 'usual' });
      const stated = await judged(path, { weather: 'stated', temperature: '-15 F', wind: '15 mph' });
      expect(recorded.weather).toMatchObject({ from: 'recorded' });
      expect(usual.weather).toMatchObject({ from: 'usual', weatherDayId: null, onDay: ON });
      expect(stated.weather).toMatchObject({ from: 'stated' });
      expect(need(stated)).toBeGreaterThan(1.3 * need(recorded));
      // The same cold, stated or usual, finds the same cattle, used to the same month (NRC 2000): one need.
      expect(stated.lines).toEqual(usual.lines);
      expect((await judged(path, { weather: 'none' })).weather).toBeNull();
    }
    const whatIf = async (query: Record<string, string>): Promise<Judged | null | undefined> =>
      (
        await operation.as.nutritionist.post<{ herds: { rations: { evaluation: Judged | null }[] }[] }>(
          operation.at('/what-if'),
          { herdIds: [herdId], rations: [{ kind: 'in-use' }] },
          { query: { on: ON, ...query }, expect: 200 },
        )
      ).body.herds[0]?.rations[0]?.evaluation;
    for (const query of [{ weather: 'usual' }, { weather: 'stated', temperature: '-15 F', wind: '15 mph' }])
      expect((await whatIf(query))?.lines).toEqual((await judged(paths[0], query)).lines);
    for (const query of [{ weather: 'stated' }, { temperature: '-15 F' }, { weather: 'stated', temperature: '-15' }])
      await operation.as.manager.get(paths[1], { query: { on: ON, ...query }, expect: 400 });
  });

  it('adds the sulfur of the water to the sulfur of the hay at every address', async () => {
    const { evaluation, review, portfolio, sheet } = await everywhere(await fedHerd({ ...COLD, temperature: null }));
    for (const { cautions } of [evaluation, review])
      expect(cautions.map((one) => one.code)).toEqual(expect.arrayContaining(['sulfur-total', 'water-sulfate']));
    expect(sheet.herds[0]?.cautions.map((one) => one.code)).toContain('sulfur-total');
    expect(sheet.water.cautions.map((one) => one.code)).toEqual(['water-sulfate']);
    expect(portfolio?.concerns.filter((one) => one.code === 'danger')).not.toEqual([]);
    // By hand, of sulfate a third is sulfur (32.06 / 96.06): 2,600 mg/L are 0.868 g of sulfur a liter. A dry pregnant
    // cow of 1,200 lb drinks some 30 L or more (NRC 2000, water table), eats about 10 kg: at least 0.25 points.
    expect(evaluation.ratios?.sulfurPercentOfDryMatter ?? 0).toBeGreaterThan(0.172 + 0.25);
  });

  it('takes off one wasted share and one price everywhere, and says what the share rests on', async () => {
    const stated = await everywhere(await fedHerd(COLD));
    for (const one of [stated.evaluation, stated.review])
      expect(one).toMatchObject({ wastedPercent: 6, wastedRestsOn: 'stated' });
    expect(stated.review.costPerHeadDay).toEqual(stated.evaluation.costPerHeadDay);
    // Measured once: 130 of the 1,300 lb of that feeding.
    const measured = await everywhere(await fedHerd({ ...COLD, wastedPounds: '130' }));
    for (const one of [measured.evaluation, measured.review])
      expect(one).toMatchObject({ wastedPercent: 10, wastedRestsOn: 'measured' });
  });

  /** Hay laid on one day and what was left of it, lb, for all head or for some. */
  const laidOn = async ({ herdId, lots }: Fed, day: number, laid: number, refused: number, more: object = {}) =>
    post('/feedings', {
      herdId,
      fedOn: `2027-01-${day}`,
      method: 'windrow-on-ground',
      layers: [{ role: 'coarse', parts: [{ hayLotId: lots[0] ?? '', weight: { value: String(laid), unit: 'lb' } }] }],
      refused: { value: String(refused), unit: 'lb' },
      ...more,
    });

  /** What the budget that begins the day after takes for waste, with intake by the equations and by the ration. */
  async function wasteInBudget({ herdId }: Fed): Promise<(Budgeted['waste'] & { notes: string[] })[]> {
    const answers: (Budgeted['waste'] & { notes: string[] })[] = [];
    for (const intake of ['equations', 'ration-in-use']) {
      const { body } = await operation.as.manager.get<{ herds: (Budgeted & { herd: string })[]; flags: Caution[] }>(
        operation.at('/reports/hay-budget'),
        { query: { from: '2027-01-15', until: '2027-01-31', intake }, expect: 200 },
      );
      for (const { herd: name, waste } of body.herds.filter((one) => one.herdId === herdId)) {
        const flags = body.flags.filter((one) => one.code === 'leftovers-of-a-larger-offer');
        answers.push({
          ...waste,
          notes: flags.map(({ message }) => message).filter((words) => words.startsWith(`${name}: `)),
        });
      }
    }
    expect(answers).toHaveLength(2);
    return answers;
  }

  // Cows of 1,200 lb can't hold 45 lb of hay; a third of it is refused each day, and each herd is told it another way.
  it.each([
    ['all at once', async (fed: Fed, day: number) => void (await laidOn(fed, day, 2250, 750))],
    [
      'in halves of a day',
      async (fed: Fed, day: number) => {
        for (const refused of [250, 500]) await laidOn(fed, day, 1125, refused);
      },
    ],
    [
      'to groups of the herd',
      async (fed: Fed, day: number) => {
        for (const refused of [250, 500]) await laidOn(fed, day, 1125, refused, { headFed: 25 });
      },
    ],
    [
      'of hay that is not in the ration',
      async (fed: Fed, day: number) => void (await laidOn({ ...fed, lots: fed.lots.slice(1) }, day, 2250, 750)),
    ],
  ])('the hay budget takes off the wasted share of the judge: an over-full rack, laid %s', async (_how, lay) => {
    const fed = await fedHerd(COLD, 15);
    for (const day of [12, 13, 14]) await lay(fed, day);
    const { evaluation, drift } = await everywhere(fed);
    // What they could not hold is no waste: less than the third that was left, but some of what they could is.
    expect(evaluation.wastedRestsOn).toBe('measured');
    expect(evaluation.wastedPercent).toBeLessThan(30);
    expect(drift.ration?.wastedPercent).toBe(evaluation.wastedPercent);
    for (const waste of await wasteInBudget(fed)) {
      expect(waste.basis).toBe('own-measurement');
      expect(Number(waste.percent)).toBeCloseTo(evaluation.wastedPercent, 1);
      expect(waste.notes).toEqual([expect.stringContaining('more than they can hold')]);
    }
    // What was left weeks ago does not depend on the weather that is asked about.
    for (const query of [{ weather: 'none' }, { weather: 'stated', temperature: '-15 F', wind: '15 mph' }])
      expect(
        (
          await operation.as.manager.get<Judged>(operation.at(`/rations/${fed.rationId}/evaluation`), {
            query: { on: ON, ...query },
            expect: 200,
          })
        ).body.wastedPercent,
      ).toBe(evaluation.wastedPercent);
  });

  /** What the microbes need, by the requirements and by the line of the ration: equal as far as both are rounded. */
  function sameOfMicrobes(need: Awaited<ReturnType<typeof everywhere>>['need'], evaluation: Judged): void {
    for (const [nutrient, value] of [
      ['degradableProtein', need?.rumenDegradableProtein.value],
      ['sulfur', need?.sulfur.value],
    ] as const) {
      const judged = lineOf(evaluation, nutrient)?.need ?? undefined;
      expect([nutrient, typeof value]).toEqual([nutrient, typeof judged]);
      if (judged !== undefined) expect(Math.abs((value ?? NaN) / judged - 1)).toBeLessThan(0.005);
    }
  }

  it('requirements of a herd that is fed short are those of its evaluation, and name their intakes', async () => {
    const { evaluation, need, told } = await (async () => {
      const fed = await fedHerd({ ...COLD, pounds: 12 });
      const answers = await everywhere(fed);
      const { body } = await operation.as.manager.get<{
        requirements: { notes: { code: string; message: string }[] }[];
      }>(operation.at(`/herds/${fed.herdId}/requirements`), { query: { on: ON }, expect: 200 });
      return { ...answers, told: body.requirements };
    })();
    // Of 12 lb of hay less 6 % waste: far below what they could eat. The animal's own needs do not shrink with it, what
    // its microbes need does (0.13 of the TDN eaten, NRC 2000, p. 17; 0.15 % of the dry matter for sulfur, MP391).
    const eaten = Number(need?.dryMatterEaten?.value ?? NaN);
    expect(eaten).toBeLessThan(0.6 * Number(need?.dryMatterIntake.value ?? NaN));
    expect(need?.sulfur.value).toBeCloseTo(eaten * 453.59237 * 0.0015, 0);
    sameOfMicrobes(need, evaluation);
    expect(told).toHaveLength(2);
    for (const { notes } of told)
      expect(notes.find(({ code }) => code === 'needs-by-intake')?.message).toMatch(/eaten of the ration in use/);
  });

  it('the hay budget takes what the ration in use states where nothing was weighed', async () => {
    for (const waste of await wasteInBudget(await fedHerd(COLD)))
      expect(waste).toMatchObject({ percent: '6', basis: 'stated' });
  });

  it('takes no waste off what is kept in front of them, whether a ration or a feeding says so', async () => {
    for (const wastedPounds of [null, '130']) {
      const { evaluation, review, drift } = await everywhere(await fedHerd({ ...COLD, mineral: '4', wastedPounds }));
      expect(review.lines).toEqual(evaluation.lines);
      expect(drift.fed.lines).toEqual(evaluation.lines);
      // 130 lb of the 1,300 lb of hay of that feeding; the mineral beside it was not laid and is not part of it.
      expect(review.wastedPercent).toBe(wastedPounds === null ? 6 : 10);
    }
  });

  it('keeps the cautions of the hay where the herd cannot be judged, on the sheet too', async () => {
    // Nobody said when they were bred: the stage of a dry pregnant cow cannot be told. 13,554 ppm of NO3-N is far above
    // what any guide lets any cattle have.
    const { evaluation, review, portfolio, sheet } = await everywhere(
      await fedHerd({ ...COLD, bred: null, nitrate: '13554' }),
    );
    const danger = expect.objectContaining({ code: 'nitrate-whole-ration', severity: 'danger' }) as Caution;
    for (const { lines, refusedBecause, cautions } of [evaluation, review]) {
      expect(refusedBecause).not.toEqual([]);
      expect(lines).toEqual([]);
      expect(cautions).toEqual(expect.arrayContaining([danger]));
    }
    expect(sheet.herds[0]?.notJudgedBecause).not.toEqual([]);
    expect(sheet.herds[0]?.cautions).toEqual(expect.arrayContaining([danger]));
    expect(portfolio?.concerns.map((one) => one.code)).toEqual(expect.arrayContaining(['danger', 'cannot-be-judged']));
  });

  // It is the 15th when the result comes in, of a sample of the 10th; the 14th is asked about.
  it('a result that came late counts from the day of its sampling, unless what was known then is asked', async () => {
    const { herdId } = await fedHerd({ ...COLD, second: 50 });
    const review = async (tests: string): Promise<Judged> =>
      (
        await operation.as.manager.get<Judged>(operation.at(`/herds/${herdId}/ration-review`), {
          query: { on: ON, tests },
          expect: 200,
        })
      ).body;
    const before = await review('now');
    const alfalfa = (
      await operation.as.manager.get<{ items: (WithId & { name: string })[] }>(operation.at('/hay-lots'), {
        query: { limit: '200' },
        expect: 200,
      })
    ).body.items.find((one) => one.name === `Alfalfa ${made}`);
    await post('/lab-tests', labTestBody(alfalfa?.id ?? '', { sampledOn: '2027-01-10' }));
    expect(lineOf(await review('now'), 'crudeProtein')?.supply).not.toBe(lineOf(before, 'crudeProtein')?.supply);
    // Everything of this world was recorded on the 15th, so that on the 14th no lot was known to be tested.
    const then = await review('then');
    expect(then.bookValues.flatMap((one) => (one.fields.includes('crudeProteinPercent') ? [one.hayLot] : []))).toEqual([
      `Meadow ${made}`,
      `Alfalfa ${made}`,
    ]);
  });

  /** The 15th in its usual weather, by the season's plan and the hay budget, as the evaluation of that day has it. */
  function sameMonth(
    { evaluation, season, budget, toCome }: Omit<Awaited<ReturnType<typeof elsewhere>>, 'whatIf' | 'page'>,
    { rationId, lots }: Fed,
  ): void {
    for (const field of ['lines', 'cautions', 'refusedBecause', 'head', 'bodyWeight'] as const)
      expect(season?.[field]).toEqual(evaluation[field]);
    const [planned] = budget?.intakeByMonth ?? [];
    expect(planned).toMatchObject({ onDay: '2027-01-15', head: evaluation.head, bodyWeight: evaluation.bodyWeight });
    expect(planned?.ration?.id).toBe(rationId);
    // Of a plan made before waste was measured the diet is another one where mineral is fed beside the hay.
    const need = toCome?.intakeByMonth[0]?.need;
    expect(need?.netEnergyMaintenance.value).toBe(lineOf(evaluation, 'netEnergyMaintenance')?.need ?? undefined);
    expect(Number(need?.dryMatterPredicted.value ?? NaN)).toBeCloseTo(lineOf(evaluation, 'dryMatter')?.need ?? NaN, 2);
    const told = { measured: 'own-measurement', stated: 'stated', nothing: 'published' }[evaluation.wastedRestsOn];
    expect(toCome?.waste.basis).toBe(told);
    if (told !== 'published') expect(Number(toCome?.waste.percent)).toBeCloseTo(evaluation.wastedPercent, 1);
    // The budget is one of hay; the plan also needs the mineral.
    const hay = (season?.needed ?? []).filter(({ hayLotId }) => lots.includes(hayLotId));
    const laid = hay.reduce((sum, lot) => sum + Number(lot.asFed.value), 0);
    expect(Number(toCome?.needed.value)).toBeCloseTo(laid, 2);
  }

  /**
   * What the portfolio leaves out of a judgement: what is good to know, and a missing test, which it tells as a concern
   * of its own. Everything else it tells in the words of the judge.
   */
  function tellsAll(concerns: { code: string; words: string }[], judged: Judged): void {
    const cautions = [...judged.cautions, ...(judged.layingCautions ?? [])].filter((one) => one.severity !== 'notice');
    for (const { code, title, message, subject } of cautions)
      expect(concerns.map((one) => one.words)).toContain(
        code === 'lab-test-missing' ? `${subject} has no lab test.` : `${title}: ${message}`,
      );
  }

  it('the portfolio tells that the cold is not counted, and what else the judge tells', async () => {
    const { evaluation, portfolio } = await everywhere(
      await fedHerd({ ...COLD, temperature: null, pounds: 40, second: 80, wasted: null }),
    );
    const cold = evaluation.cautions.find((one) => one.code === 'cold-left-out');
    expect(cold?.severity).toBe('watch');
    expect(portfolio?.concerns.find((one) => one.code === 'cold-left-out')).toMatchObject({
      given: cold?.given,
      words: `${cold?.title}: ${cold?.message}`,
    });
    tellsAll(portfolio?.concerns ?? [], evaluation);
  });

  it('finds one need, one supply, one verdict for any herd, whoever is asked', async () => {
    const facts = fc.record<Facts>({
      bred: fc.constantFrom('2026-05-20', '2026-06-20', '2026-08-01', null),
      pounds: fc.integer({ min: 10, max: 40 }),
      head: fc.constantFrom(20, 50, 100),
      second: fc.constantFrom(0, 20, 50, 80),
      temperature: fc.option(fc.integer({ min: -30, max: 45 })),
      windMph: fc.option(fc.integer({ min: 0, max: 30 })),
      sulfate: fc.option(fc.constantFrom('40', '900', '2600')),
      nitrate: fc.option(fc.constantFrom('200', '1600', '5000')),
      wasted: fc.option(fc.constantFrom('0', '6', '12.5')),
      wastedPounds: fc.option(fc.constantFrom('10', '40')),
      mineral: fc.option(fc.constantFrom('3', '5')),
    });
    await fc.assert(
      fc.asyncProperty(facts, async (one) => {
        const herdFed = await fedHerd(one);
        const { evaluation, review, listed, portfolio, need, sheet, drift } = await everywhere(herdFed);
        const { whatIf = [], page, ...month } = await elsewhere(herdFed);
        await handedOn(herdFed, review, sheet);
        expect(whatIf).toHaveLength(3);
        for (const other of [review, listed, drift.fed, drift.ration, ...whatIf]) {
          for (const field of ['lines', 'cautions', 'costPerHeadDay', 'wastedPercent', 'refusedBecause'] as const)
            expect(other?.[field]).toEqual(evaluation[field]);
        }
        expect(linesOnPage(page).map((cells) => cells.at(-1))).toEqual(review.lines.map(verdictOnPage));
        const read = bare(page);
        expect(review.notes.map(({ message }) => message).filter((words) => !read.includes(bare(words)))).toEqual([]);
        for (const [index, cells] of linesOnPage(page).entries()) {
          const { supply, need: needed } = review.lines[index] ?? {};
          for (const [at, figure] of [supply, needed].entries())
            if (figure !== null && figure !== undefined)
              expect(Number((cells[at] ?? '').replaceAll(/[^\d.-]/g, ''))).toBeCloseTo(
                figure,
                Math.abs(figure) < 100 ? 0 : -1,
              );
        }
        sameMonth(month, herdFed);
        const least = one.bred === null ? null : await cheapest(herdFed);
        for (const line of least?.judged.lines ?? []) {
          const told = least === null ? undefined : lineOf(least.told, line.nutrient);
          expect([line.nutrient, told?.verdict]).toEqual([line.nutrient, line.verdict]);
          // The shares of the answer are entered to four places.
          for (const field of ['need', 'supply'] as const)
            if (line[field] !== null && line[field] !== 0)
              expect((told?.[field] ?? NaN) / line[field]).toBeCloseTo(1, 2);
        }
        expect(least?.told.cautions.map((each) => each.code)).toEqual(least?.judged.cautions.map((each) => each.code));
        const onSheet = [...(sheet.herds[0]?.cautions ?? []), ...sheet.water.cautions].map((each) => each.code);
        expect(onSheet).toEqual(
          expect.arrayContaining(
            evaluation.cautions.map((each) => each.code).filter((code) => code !== 'legume-bloat'),
          ),
        );
        const dangers = evaluation.cautions.filter((each) => each.severity === 'danger');
        expect(portfolio?.concerns.filter((each) => each.code === 'danger')).toHaveLength(dangers.length);
        tellsAll(portfolio?.concerns ?? [], evaluation);
        const called = (verdict: string) => evaluation.lines.filter((line) => line.verdict === verdict).length;
        const concerns = (portfolio?.concerns ?? []).map((each) => each.code);
        expect(concerns.filter((code) => code.endsWith('-short') && !code.startsWith('hay'))).toHaveLength(
          called('short'),
        );
        expect(concerns.filter((code) => code === 'nutrient-excess')).toHaveLength(called('excess'));
        expect(need?.netEnergyMaintenanceTotal.value).toBe(lineOf(evaluation, 'netEnergyMaintenance')?.need);
        expect(need?.crudeProtein.value ?? NaN).toBeCloseTo(lineOf(evaluation, 'crudeProtein')?.need ?? NaN, 0);
        // What the microbes need of what is eaten: NRC 2000, p. 17.
        sameOfMicrobes(need, evaluation);
        expect(Number(need?.totalDigestibleNutrients?.value ?? NaN)).toBeCloseTo(
          lineOf(evaluation, 'totalDigestibleNutrients')?.need ?? NaN,
          2,
        );
        expect(Number(need?.dryMatterIntake.value ?? NaN)).toBeCloseTo(lineOf(evaluation, 'dryMatter')?.need ?? NaN, 2);
      }),
      { numRuns: examples(2) },
    );
  });
});

import type { ApiClient } from './client.js';
import type { Operation } from './people.js';

/** Records of a ranch in one line each, entered over HTTP by the manager. Everything here is invented. */
export interface WithId {
  id: string;
}

export interface LotAnswer extends WithId {
  balance: { value: string; unit: string };
  version: number;
  [field: string]: unknown;
}

const WINTER = '2026-11-01';

const manager = ({ as }: Operation): ApiClient => as.manager;

export async function ranch(operation: Operation, body: object = {}): Promise<string> {
  return (
    await manager(operation).post<WithId>(operation.at('/ranches'), { name: 'Home ranch', ...body }, { expect: 201 })
  ).body.id;
}

export async function herd(
  operation: Operation,
  ranchId: string,
  { head = 100, since = WINTER, ...body }: { head?: number; since?: string } & Record<string, unknown> = {},
): Promise<string> {
  const { id } = (
    await manager(operation).post<WithId>(
      operation.at('/herds'),
      {
        name: 'Weaned calves',
        ranchId,
        cattleClass: 'growing-calf',
        sex: 'steer',
        bodyWeight: { value: '550', unit: 'lb' },
        targetDailyGain: { value: '1.5', unit: 'lb' },
        takenOn: since,
        ...body,
      },
      { expect: 201 },
    )
  ).body;
  if (head > 0)
    await manager(operation).post(
      operation.at(`/herds/${id}/head-changes`),
      { kind: 'in', head, happenedOn: since },
      { expect: 201 },
    );
  return id;
}

/** Dry cows in calf, 1,200 lb unless other words are given. */
export function cows(
  operation: Operation,
  ranchId: string,
  more: { head?: number; since?: string } & Record<string, unknown> = {},
): Promise<string> {
  return herd(operation, ranchId, {
    name: 'Cows',
    cattleClass: 'dry-pregnant-cow',
    sex: 'cow',
    bodyWeight: { value: '1200', unit: 'lb' },
    targetDailyGain: undefined,
    bredOn: '2026-06-20',
    ...more,
  });
}

/** How many lots of a ranch had no name given: each needs one of its own. */
const unnamedLots = new Map<string, number>();
function nextLotName(ranchId: string): string {
  const count = (unnamedLots.get(ranchId) ?? 0) + 1;
  unnamedLots.set(ranchId, count);
  return count === 1 ? 'Meadow, first cutting' : `Meadow, first cutting ${count}`;
}

export function purchaseBody(ranchId: string, more: Record<string, unknown> = {}): Record<string, unknown> {
  return {
    vendor: 'A neighbor',
    purchasedOn: WINTER,
    weight: { basis: 'net', net: { value: '24', unit: 'ton' } },
    price: { basis: 'per-mass', amount: '150', per: 'ton' },
    ...more,
    lot: more['lot'] ?? {
      name: nextLotName(ranchId),
      ranchId,
      hayKind: 'meadow',
      baleForm: 'round',
      storageMethod: 'tarp',
    },
  };
}

/** Hay bought into a new lot. Returns lot and ticket. */
export async function lot(
  operation: Operation,
  ranchId: string,
  {
    tons = '24',
    name = nextLotName(ranchId),
    hayKind = 'meadow',
    ...body
  }: { tons?: string; name?: string; hayKind?: string } & Record<string, unknown> = {},
): Promise<{ lotId: string; purchaseId: string }> {
  const bought = await manager(operation).post<WithId & { hayLotId: string }>(
    operation.at('/hay-purchases'),
    purchaseBody(ranchId, {
      lot: { name, ranchId, hayKind, baleForm: 'round', storageMethod: 'tarp' },
      weight: { basis: 'net', net: { value: tons, unit: 'ton' } },
      ...body,
    }),
    { expect: 201 },
  );
  return { lotId: bought.body.hayLotId, purchaseId: bought.body.id };
}

export function feedingBody(
  herdId: string,
  draws: readonly (readonly [lotId: string, pounds: string])[],
  more: Record<string, unknown> = {},
): Record<string, unknown> {
  const roles = ['coarse', 'rich', 'mixed'];
  return {
    herdId,
    fedOn: '2027-01-10',
    method: 'windrow-on-ground',
    layers: draws.map(([hayLotId, value], index) => ({
      role: roles[index % roles.length],
      parts: [{ hayLotId, weight: { value, unit: 'lb' } }],
    })),
    ...more,
  };
}

export async function feeding(
  operation: Operation,
  herdId: string,
  draws: readonly (readonly [lotId: string, pounds: string])[],
  more: Record<string, unknown> = {},
): Promise<string> {
  return (
    await manager(operation).post<WithId>(operation.at('/feedings'), feedingBody(herdId, draws, more), { expect: 201 })
  ).body.id;
}

export async function balance(operation: Operation, lotId: string, units: 'us' | 'metric' = 'us'): Promise<string> {
  return (
    await manager(operation).get<LotAnswer>(operation.at(`/hay-lots/${lotId}`), { query: { units }, expect: 200 })
  ).body.balance.value;
}

/** The laboratory numbers its samples: without a number, a second test of the same figures is the first one again. */
let samplesSent = 0;

export function labTestBody(hayLotId: string, more: Record<string, unknown> = {}): Record<string, unknown> {
  return {
    hayLotId,
    lab: 'Forage laboratory',
    reportNumber: `F-${(samplesSent += 1)}`,
    sampledOn: '2026-11-05',
    method: 'near-infrared',
    basis: 'dry-matter',
    analysis: {
      dryMatter: { value: '88.4', unit: '%' },
      crudeProtein: { value: '9.1', unit: '%' },
      acidDetergentFiber: { value: '37.2', unit: '%' },
      neutralDetergentFiber: { value: '58.6', unit: '%' },
    },
    ...more,
  };
}

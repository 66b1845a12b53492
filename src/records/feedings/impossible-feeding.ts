import { heaviestBaleKg, mostDaysLaidFor, mostOfferedKg } from '../../core/laying/offer-fit.js';
import { counted } from '../../core/units/counted.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { HayLotRow } from '../hay/lots/hay-lot.read.js';
import { type OfferedPart, refuseImpossibleOffer } from '../kit/impossible-offer.js';
import { type LaidThen, wasLaid } from './feeding.read.js';
import { type Known, mostHead, type PlannedFeeding } from './planned-feeding.js';

type Baled = Pick<HayLotRow, 'hay_kind' | 'bale_form'>;

/**
 * What is kept in front of the cattle may last them for weeks and does not count; nor is one whole bale too much for
 * anybody. Asked once the hay is drawn: where a lot does not hold so much, that is said first.
 * @throws Problem where no cattle can be meant, by one feeding or by all that a herd gets on its day.
 */
export function refuseImpossibleFeedings(
  tenant: OperationTenant,
  planned: readonly PlannedFeeding[],
  known: Known,
): void {
  const laid = new Map<string, LaidThen[]>();
  const laidOn = ({ herdId, day }: Pick<LaidThen, 'herdId' | 'day'>): LaidThen[] => {
    const key = `${herdId} ${day}`;
    const ofDay = laid.get(key) ?? [];
    laid.set(key, ofDay);
    return ofDay;
  };
  for (const one of known.laidThen) laidOn(one).push(one);
  for (const one of planned) {
    const ofDay = laidOn({ herdId: one.herd.id, day: one.body.fedOn });
    refuseImpossible(tenant, one, known);
    refuseImpossibleDay(tenant, one, ofDay, known);
    ofDay.push(...laidBy(one));
  }
}

function refuseImpossible(tenant: OperationTenant, one: PlannedFeeding, known: Known): void {
  const { body, lots, herd, feeding } = one;
  const headFed = feeding.head_fed;
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const oneBaleKg = laidBy(one).map(({ lotId }) => baleDryKg(lotId, lots.get(lotId), body.fedOn, known));
  refuseImpossibleOffer(partsOf(one, headFed, known), {
    herd: herd.name,
    bodyWeightKg,
    mostKg: Math.max(
      mostOfferedKg({ bodyWeightKg, days: mostDaysLaidFor(body.method) }),
      ...oneBaleKg.map((kg) => kg / headFed),
    ),
    span: ` in one feeding of ${headFed} head`,
    whole: '#/layers',
    units: tenant.operation.unitPreference,
  });
}

/**
 * Feedings of one day went to the whole herd or to parts of it: together they are divided by all of its head, and a
 * bale more than that head can be meant to get is no slip. A feeding that stands in for another does not count it.
 */
function refuseImpossibleDay(
  tenant: OperationTenant,
  one: PlannedFeeding,
  laidThatDay: readonly LaidThen[],
  known: Known,
): void {
  const { body, lots, herd, feeding } = one;
  const before = laidThatDay.filter(({ feedingId }) => feedingId !== body.correctsId);
  const own = laidBy(one);
  if (before.length === 0 || own.length === 0) return;
  const head = Math.max(feeding.head_fed, mostHead(body, known.headOn));
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const baleKg = Math.max(
    ...[...before, ...own].map(({ lotId, lot }) => baleDryKg(lotId, lots.get(lotId) ?? lot, body.fedOn, known)),
  );
  const days = Math.max(...[body, ...before].map(({ method }) => mostDaysLaidFor(method)));
  refuseImpossibleOffer(partsOf(one, head, known), {
    herd: herd.name,
    bodyWeightKg,
    mostKg: mostOfferedKg({ bodyWeightKg, days }) + baleKg / head,
    span: ` in all feedings of ${herd.name} on ${body.fedOn}`,
    already: {
      dryMatterKgPerHead:
        before.reduce((sum, { lotId, kilograms, lot }) => sum + dryKg(lotId, kilograms, lot, body.fedOn, known), 0) /
        head,
      kilograms: before.reduce((sum, { kilograms }) => sum + Number(kilograms), 0),
      by: counted(new Set(before.map(({ feedingId }) => feedingId)).size, 'feeding'),
    },
    whole: '#/layers',
    units: tenant.operation.unitPreference,
  });
}

function partsOf({ layers, lots, body }: PlannedFeeding, head: number, known: Known): OfferedPart[] {
  return layers.filter(wasLaid).map((layer) => {
    const at = `#/layers/${layer.position - 1}/parts/${layer.part - 1}`;
    const lot = lots.get(layer.hay_lot_id);
    return {
      pointer: layer.typed_unit === 'bale' ? `${at}/bales` : `${at}/weight/value`,
      given: { value: layer.typed_value, unit: layer.typed_unit === 'bale' ? 'bales' : layer.typed_unit },
      dryMatterKgPerHead: dryKg(layer.hay_lot_id, layer.kilograms, lot, body.fedOn, known) / head,
    };
  });
}

function laidBy({ id, layers, lots, body }: PlannedFeeding): LaidThen[] {
  return layers.filter(wasLaid).map((layer) => ({
    feedingId: id,
    herdId: body.herdId,
    day: body.fedOn,
    method: body.method,
    lotId: layer.hay_lot_id,
    lot: lots.get(layer.hay_lot_id),
    kilograms: layer.kilograms,
  }));
}

function dryKg(lotId: string, kilograms: string | number, lot: Baled | undefined, day: string, known: Known): number {
  return (Number(kilograms) * known.dryMatterOn(lotId, day, lot?.hay_kind)) / 100;
}

/** Of the heaviest bale of a lot; none where it is not in bales. */
function baleDryKg(lotId: string, lot: Baled | undefined, day: string, known: Known): number {
  if (lot === undefined) return 0;
  const meanBaleKg = known.baleWeights.get(lotId)?.kilograms.toNumber() ?? null;
  const kilograms = heaviestBaleKg({ hayKind: lot.hay_kind, baleForm: lot.bale_form, meanBaleKg });
  return kilograms === null ? 0 : dryKg(lotId, kilograms, lot, day, known);
}

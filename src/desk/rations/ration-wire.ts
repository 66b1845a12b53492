import type { RaisedCaution } from '../../core/cautions/caution.js';
import { fromBaseUnit, shownUnit } from '../../core/units/unit.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import {
  type UnitSystem,
  formatMass,
  formatTypedMass,
  formatTypedPerHead,
} from '../../platform/wire/quantity.schema.js';
import { type LaidPart, type LaidRation, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import type * as api from './ration.schema.js';

type Answer = AnswerOf<typeof api.getRation>;

/** State of a ration on a day. */
function stateOn(row: RationRow, day: string): Answer['state'] {
  if (row.state !== 'accepted') return row.state;
  if (row.in_use_from === null || row.in_use_from > day) return 'accepted';
  return row.in_use_until !== null && row.in_use_until <= day ? 'superseded' : 'in-use';
}

export function rationAnswer(
  row: RationRow,
  laid: LaidRation,
  herd: HerdRow | undefined,
  { today, cautions }: { today: string; cautions: readonly RaisedCaution[] },
  units: UnitSystem,
): Answer {
  const positions = [...new Set(laid.parts.map((part) => part.position))].sort((a, b) => a - b);
  return {
    id: row.id,
    herdId: row.herd_id,
    herd: herd?.name ?? '',
    name: row.name,
    state: stateOn(row, today),
    basis: row.basis,
    amount: {
      weight: formatTypedMass(row.amount_kg, row.amount_value, row.amount_unit, units, 'small'),
      basis: row.amount_basis,
    },
    baleRounding: row.bale_rounding,
    wastedPercent: row.wasted_percent,
    templateKey: row.template_key,
    note: row.note,
    revision: row.revision,
    layers: positions.map((position) => {
      const parts = laid.parts.filter((part) => part.position === position);
      return { position, role: parts[0]?.role ?? 'mixed', parts: parts.map((part) => partAnswer(part, units)) };
    }),
    perHead: {
      asFed: formatMass(massOfKilograms(laid.asFedKgPerHead), units, 'small'),
      dryMatter: formatMass(massOfKilograms(laid.dryMatterKgPerHead), units, 'small'),
    },
    restsOnBookValues: laid.restsOnBookValues,
    cautions: cautions.map((one) => cautionAnswer(one, units)),
    inUseFrom: row.in_use_from,
    inUseUntil: row.in_use_until,
    proposedAt: row.proposed_at,
    proposedBy: row.proposed_by,
    acceptedAt: row.accepted_at,
    acceptedBy: row.accepted_by,
    units,
    createdAt: row.created_at,
    createdBy: row.created_by,
    version: row.version,
  };
}

function partAnswer(part: LaidPart, units: UnitSystem): Answer['layers'][number]['parts'][number] {
  const { shares, facts } = part;
  const percent = (share: number): number => Number((share * 100).toFixed(3));
  const density = shares.bulkDensityKgPerM3;
  return {
    hayLotId: part.lotId,
    hayLot: facts.lot.lotName,
    sharePercent: part.sharePercent,
    weight:
      part.weight === null ? null : formatTypedPerHead({ value: part.weight.value, unit: part.weight.unit }, units),
    freeChoice: part.freeChoice,
    volumeSharePercent: percent(shares.volumeShare),
    asFedSharePercent: percent(shares.asFedShare),
    dryMatterSharePercent: percent(shares.dryMatterShare),
    bulkDensity: {
      value: Number(fromBaseUnit(density.value, shownUnit('density', units)).toFixed(3)),
      unit: shownUnit('density', units),
      origin: density.origin,
      source: density.source,
    },
    dryMatterPercent: {
      value: Number(facts.lot.dryMatterPercent.value.toFixed(2)),
      unit: '%',
      origin: shares.dryMatterPercent.origin,
      source: sourceOf(facts),
    },
    testTakenFrom: facts.testTakenFrom,
    perHead: formatMass(massOfKilograms(part.asFedKgPerHead), units, 'small'),
  };
}

function sourceOf({ testedOn, testTakenFrom }: LaidPart['facts']): string {
  if (testedOn === null) return 'book value of the kind of hay';
  return testTakenFrom === null
    ? `lab test, sampled ${testedOn}`
    : `lab test of ${testTakenFrom.hayLot}, which it was split off, sampled ${testedOn}`;
}

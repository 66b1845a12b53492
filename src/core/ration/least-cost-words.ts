import type { Currency, Money, PricePerMass } from '../units/money.js';
import { figureIn, sentence, type UnitOfReader, wordsIn, type Words } from '../units/wording.js';
import { shownUnit, type UnitSystem } from '../units/unit.js';
import type { Candidate } from './ration-row.js';
import type { ConflictingRow } from './solve.js';

export interface ShadowPrice {
  readonly row: string;
  /** What one more unit of what the row asks would cost, per head per day. */
  readonly perUnit: Money;
  readonly unit: string | UnitOfReader;
  /** What one more unit is of. */
  readonly of: Words;
  /** True where the row asks for something, false where it leaves room for it. */
  readonly asks: boolean;
}

/** The price of a row by the unit that readers of a system are told, and the same in a sentence. */
export function shadowPriceIn(
  system: UnitSystem,
  { perUnit: perOwnUnit, unit: ownUnit, of, asks }: ShadowPrice,
): { readonly perUnit: Money; readonly unit: string; readonly words: string } {
  const { value: unitsToOne, unit } = figureIn(system, { value: 1, unit: ownUnit });
  const perUnit = unitsToOne === 1 ? perOwnUnit : perOwnUnit.times(String(Number((1 / unitsToOne).toFixed(12))));
  const amountOf = (money: Money): string => `${money.amount.toDecimalPlaces(6).toFixed()} ${money.currency}`;
  const saves = perUnit.amount.isNegative();
  const effect = `would ${saves ? 'save' : 'cost'} ${amountOf(saves ? perUnit.negated() : perUnit)}`;
  const words = asks
    ? sentence`One more ${unit} of ${of} per head per day ${effect}.`
    : sentence`One more ${unit} of ${of} that could be fed per head per day ${effect}.`;
  return { perUnit, unit, words: wordsIn(system, words) };
}

/** A demand of a conflict in words, with what is missing of it or too much: that is what has to give. */
export function conflictWordsIn(
  system: UnitSystem,
  { words, missesBy, unit: ownUnit, asks }: Pick<ConflictingRow, 'words' | 'missesBy' | 'unit' | 'asks'>,
): string {
  const demand = wordsIn(system, words);
  if (missesBy === null) return demand;
  const { value, unit } = figureIn(system, { value: missesBy, unit: ownUnit });
  return `${demand}: ${Number(value.toPrecision(3))} ${unit} ${asks ? 'short' : 'too much'}`;
}

export interface UnusedLot {
  readonly lotId: string;
  readonly lotName: string;
  readonly role: Candidate['role'];
  /** Price at which the lot would come into the ration; `null` if no price above zero would do. */
  readonly comesInAt: PricePerMass | null;
}

/** What would bring a lot into the ration, in a sentence; large masses are short tons or tonnes. */
export function unusedLotIn(system: UnitSystem, { lotName, role, comesInAt }: UnusedLot, currency: Currency): string {
  if (comesInAt === null) return `${lotName} would not come in as ${role} at any price.`;
  const unit = shownUnit('mass', system, 'large');
  const price = `${comesInAt.in(unit).toDecimalPlaces(2).toFixed()} ${currency}`;
  return `${lotName} would come in as ${role} below ${price} a ${unit === 'ton' ? 'short ton' : 'tonne'}.`;
}

import type { LabReport, NutrientRow } from './nutrient-row.js';
import { NUTRIENTS } from './nutrients.data.js';

type Table = typeof NUTRIENTS;
type NutrientCode = keyof Table;
/** Codes of the rows that have a part, or a word in it. */
type CodeWith<Part> = { [Code in NutrientCode]: Table[Code] extends Part ? Code : never }[NutrientCode];

/** What a laboratory reports. */
export type LabNutrient = CodeWith<{ lab: unknown }>;
/** What the lots of a ration are asked for and summed by. */
export type RationNutrient = CodeWith<{ lab: unknown; ration: unknown }>;
/** What a ration is judged by: each has a line of supply against need. */
export type Nutrient = CodeWith<{ need: unknown }>;
export type Mineral = CodeWith<{ group: 'mineral' }>;
/** Minerals whose need is the sum of their uses; each has an equation of its own. */
export type MineralByUse = CodeWith<{ need: { equation: 'sum of uses' } }>;
/** Minerals that are needed as a share of the dry matter eaten. */
export type MineralByShare = CodeWith<{ need: { equation: 'share of dry matter' }; ofDryMatter: unknown }>;
/** Everything that a requirement table asks for as a share of the dry matter, trace minerals too. */
export type NutrientOfDryMatter = CodeWith<{ ofDryMatter: unknown }>;
/** Needed by the milligram or the international unit: trace minerals and vitamins. */
export type TraceNutrient = CodeWith<{ group: 'trace mineral' | 'vitamin'; need: unknown; ofDryMatter: unknown }>;
export type LeastCostMineral = CodeWith<{ group: 'mineral'; need: { inLeastCost: true } }>;

/** Fields of a `ForageAnalysis`. */
export type AnalysisField = Table[LabNutrient]['lab']['field'];
/** Those of them that a ration is computed from. */
export type RationField = Table[RationNutrient]['lab']['field'];

const ROWS: readonly (readonly [NutrientCode, NutrientRow])[] = (Object.keys(NUTRIENTS) as NutrientCode[]).map(
  (code) => [code, NUTRIENTS[code]],
);
/** Codes of the rows that a test picks, in the order of the table; the caller names the type that the test means. */
function codesWhere<Code extends NutrientCode>(test: (row: NutrientRow) => boolean): readonly Code[] {
  return ROWS.filter(([, row]) => test(row)).map(([code]) => code as Code);
}

/** In the order of a lab report. */
export const LAB_NUTRIENTS = codesWhere<LabNutrient>(({ lab }) => lab !== undefined);
export const MINERALS = codesWhere<Mineral>(({ group }) => group === 'mineral');
export const MINERALS_BY_USE = codesWhere<MineralByUse>(({ need }) => need?.equation === 'sum of uses');
export const MINERALS_BY_SHARE = codesWhere<MineralByShare>(({ need }) => need?.equation === 'share of dry matter');
export const NUTRIENTS_OF_DRY_MATTER = codesWhere<NutrientOfDryMatter>(({ ofDryMatter }) => ofDryMatter !== undefined);
export const VITAMINS = codesWhere<TraceNutrient>(({ group }) => group === 'vitamin');
const TRACE_GROUPS: readonly NutrientRow['group'][] = ['trace mineral', 'vitamin'];
export const TRACE_NUTRIENTS = codesWhere<TraceNutrient>(
  ({ group, need }) => TRACE_GROUPS.includes(group) && need !== undefined,
);
export const LEAST_COST_MINERALS = codesWhere<LeastCostMineral>(({ need }) => need?.inLeastCost === true);

/** Groups in the order in which a ration's values are told. */
const GROUPS_OF_A_RATION = [
  'protein',
  'fiber',
  'energy',
  'fat and ash',
  'mineral',
  'trace mineral',
  'vitamin',
  'nitrate',
] as const;
export const RATION_NUTRIENTS: readonly RationNutrient[] = GROUPS_OF_A_RATION.flatMap((group) =>
  codesWhere<RationNutrient>((row) => row.group === group && row.lab !== undefined && row.ration !== undefined),
);

/** Energy and protein come first in a judgement, then what is left of the table in its order: minerals, structure. */
const JUDGED_FIRST: readonly Nutrient[] = [
  'dryMatter',
  'netEnergyMaintenance',
  'netEnergyGain',
  'totalDigestibleNutrients',
  'metabolizableProtein',
  'crudeProtein',
  'degradableProtein',
];
export const JUDGED_NUTRIENTS: readonly Nutrient[] = [
  ...new Set([...JUDGED_FIRST, ...codesWhere<Nutrient>(({ need }) => need !== undefined)]),
];

/** One value for each code, in the order of the codes. */
export function byCode<Code extends NutrientCode, Value>(
  codes: readonly Code[],
  make: (code: Code) => Value,
): Record<Code, Value> {
  return Object.fromEntries(codes.map((code) => [code, make(code)])) as Record<Code, Value>;
}

/** How a laboratory reports a nutrient, with its field of an analysis: the field of `calcium` is `calciumPercent`. */
export function labReport(code: LabNutrient): LabReport & { readonly field: AnalysisField } {
  return NUTRIENTS[code].lab;
}

/** "magnesium, potassium and sodium". */
export function namesInWords(codes: readonly NutrientCode[]): string {
  const names = codes.map((code) => NUTRIENTS[code].name.toLowerCase());
  return [names.slice(0, -1).join(', '), ...names.slice(-1)].filter((part) => part !== '').join(' and ');
}

/** A code as people say it: 'netEnergyGain' is 'Net energy gain', 'vitaminA' is 'Vitamin A'. */
export function spelledNutrient(nutrient: Nutrient): string {
  const words = nutrient.replaceAll(/[A-Z](?=[a-z])/g, (letter) => ` ${letter.toLowerCase()}`);
  const spaced = words.replaceAll(/([a-z])([A-Z])/g, '$1 $2');
  return `${spaced.charAt(0).toUpperCase()}${spaced.slice(1)}`;
}

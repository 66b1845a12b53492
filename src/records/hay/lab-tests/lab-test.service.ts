import { Injectable } from '@nestjs/common';
import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { nonProteinNitrogenOnReport } from '../../../core/cautions/non-protein-nitrogen.js';
import { LAB_NUTRIENTS, type LabNutrient, labReport } from '../../../core/nutrients/nutrients.js';
import { enteredBefore } from '../../../core/forage/test-entered-before.js';
import { counted } from '../../../core/units/counted.js';
import { rohweder1978RelativeFeedValue } from '../../../core/forage/forage-index.js';
import { checkLabTest } from '../../../core/forage/lab-test-plausibility.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { problemOfCore } from '../../../platform/http/core-problems.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { baledAfter, HayLotRead } from '../lots/hay-lot.read.js';
import { refuseNotYet } from '../../kit/happened.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { analysisOf, mostOf, labTestOf, LabTestRead, type LabTestRow, type TypedAnalysis } from './lab-test.read.js';
import type * as api from './lab-test.schema.js';
import { LabTestStore } from './lab-test.store.js';

type Answer = AnswerOf<typeof api.getLabTest>;
type Warning = Answer['warnings'][number];

@Injectable()
export class LabTestService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly tests: LabTestRead,
    private readonly store: LabTestStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { body }: InputOf<typeof api.createLabTest>): Promise<Answer> {
    return this.record(tenant, body);
  }

  /** Writes one test inside an open transaction; used for single entries and imports alike. */
  async record(tenant: OperationTenant, body: InputOf<typeof api.createLabTest>['body']): Promise<Answer> {
    await refuseNotYet(tenant, { day: body.sampledOn, pointer: '#/sampledOn' });
    const typed = asGuaranteed(body);
    const lots = await this.lots.named(tenant, [{ id: body.hayLotId, pointer: '#/hayLotId' }]);
    const lot = lots.get(body.hayLotId);
    if (lot === undefined) throw new RangeError('A lot that was named is there');
    const group = feedGroupOf(lot.hay_kind);
    const checked = checkLabTest({
      analysis: analysisOf(typed),
      basis: body.basis,
      group,
    });
    if (body.method !== 'label') refuseGuarantees(typed);
    if (!checked.ok) throw problemOfCore(checked.problems, pointerOf);
    const most = checkLabTest({ analysis: mostOf(typed), basis: body.basis, group });
    if (!most.ok) throw problemOfCore(most.problems, pointerOf);
    refuseCrossed(typed);
    const nonProtein = nonProteinNitrogenOnReport(analysisOf(typed), mostOf(typed));
    if (!nonProtein.ok) throw problemOfCore(nonProtein.problems, pointerOf);
    const warnings: Warning[] = [...checked.value.warnings, ...most.value.warnings, ...nonProtein.value].map(
      ({ code, message, source }) => ({ code, message, source }),
    );
    const baledOn = baledAfter(lot, body.sampledOn);
    if (baledOn !== null) warnings.push(sampledBefore(baledOn, body.sampledOn));
    const test = {
      hay_lot_id: body.hayLotId,
      lab: body.lab,
      report_number: body.reportNumber ?? null,
      sampled_on: body.sampledOn,
      method: body.method,
      basis: body.basis,
      cores: body.cores ?? null,
    };
    warnings.push(...(await this.#enteredBefore(tenant, { ...test, analysis: typed })));
    const row = await this.store.insert(tenant, {
      ...test,
      bales_sampled: body.balesSampled ?? null,
      analysis: JSON.stringify(typed),
      warnings: JSON.stringify(warnings),
      note: body.note ?? null,
    });
    await tenant.audit({ action: 'lab-test.create', subjectKind: 'lab-test', subjectId: row.id, after: row });
    return answerFrom(row, undefined);
  }

  /** Refuses a test that is on record already, and tells of one that likely is. */
  async #enteredBefore(tenant: OperationTenant, entered: NewTest): Promise<Warning[]> {
    await this.store.holdLot(tenant, entered.hay_lot_id);
    const standing = (await this.tests.standingOf(tenant, entered.hay_lot_id)).map(comparedOf);
    const found = enteredBefore(standing, comparedOf({ ...entered, id: 'new' }));
    if (found === undefined) return [];
    const { as, alike, shared, how } = found;
    const number = as.reportNumber === null ? '' : `, number ${as.reportNumber}`;
    const which = `the test of ${as.sampledOn} by ${as.lab}${number} (${as.id})`;
    if (how === 'same')
      throw ruleBroken(
        entered.report_number !== null && as.reportNumber !== null ? '#/reportNumber' : '#/analysis',
        'recorded-already',
        entered.report_number ?? entered.sampled_on,
        'what is not on record yet',
        `It repeats ${which}, and the mean would count that sample twice. Leave it out; if the one on record is ` +
          'wrong, withdraw it first; if this is another sample, give the number that the laboratory gave it.',
      );
    return [
      {
        code: 'likely-entered-before',
        message:
          `${alike} of the ${counted(shared, 'figure')} that it shares with ${which} are the same to the digit. If ` +
          'it is the same sample, withdraw one of the two: until then the mean counts it twice.',
        source: 'common practice, no source',
      },
    ];
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listLabTests>,
  ): Promise<AnswerOf<typeof api.listLabTests>> {
    const rows = await this.tests.page(tenant, query);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, reversals.get(row.id)),
      (row) => [row.sampled_on, row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getLabTest>): Promise<Answer> {
    const row = await this.tests.one(tenant, params.labTestId);
    return answerFrom(row, (await this.reversals.of(tenant, [row.id])).get(row.id));
  }

  async withdraw(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.withdrawLabTest>,
  ): Promise<AnswerOf<typeof api.withdrawLabTest>> {
    const row = await this.tests.one(tenant, params.labTestId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'lab-test', id: row.id, happenedOn: row.sampled_on },
      body,
    );
    return reversalAnswer(reversal);
  }
}

type TestRow = Parameters<typeof labTestOf>[0] & Pick<LabTestRow, 'report_number'>;
type NewTest = Omit<TestRow, 'id'>;

/** A test as it is held against the others of its lot. */
function comparedOf(row: TestRow) {
  const { id, lab, sampledOn, analysis, atMost } = labTestOf(row);
  return { id, lab, sampledOn, reportNumber: row.report_number, analysis, atMost };
}

/** A standing crop may be sampled, so it is no error; what is in the bales may differ. */
const sampledBefore = (baledOn: string, sampledOn: string): Warning => ({
  code: 'sampled-before-it-was-baled',
  message: `Sampled on ${sampledOn}, before the hay was baled on ${baledOn}: it tells of the standing crop, if at all.`,
  source: 'common practice, no source',
});

/** The figures that are given; of a label those that are always the most say so. */
function asGuaranteed({ analysis, method }: InputOf<typeof api.createLabTest>['body']): TypedAnalysis {
  const given = Object.entries(analysis) as [LabNutrient, TypedAnalysis[LabNutrient]][];
  return Object.fromEntries(
    given.flatMap(([name, value]) => {
      if (value === undefined) return [];
      if (method !== 'label' || labReport(name).labelStates !== 'maximum' || value.maximum !== undefined)
        return [[name, value]];
      if (value.guarantee === 'minimum')
        throw ruleBroken(
          `#/analysis/${name}/guarantee`,
          'label-states-the-most',
          value.guarantee,
          'maximum, or nothing',
          'A label states this as not more than so much. If yours gives a least and a most, give the most as maximum.',
        );
      return [[name, { ...value, guarantee: 'maximum' }]];
    }),
  );
}

/** Only a label guarantees; a laboratory measures. */
function refuseGuarantees(typed: TypedAnalysis): void {
  for (const [name, value] of Object.entries(typed))
    if (value.guarantee !== undefined || value.maximum !== undefined)
      throw ruleBroken(
        `#/analysis/${name}`,
        'guarantee-without-label',
        value.guarantee ?? value.maximum ?? null,
        'only with the method label',
        'Only a label guarantees a minimum or a maximum; a laboratory reports one figure.',
      );
}

function refuseCrossed(typed: TypedAnalysis): void {
  for (const [name, { value, guarantee, maximum }] of Object.entries(typed))
    if (maximum !== undefined && (guarantee === 'maximum' || Number(maximum) < Number(value)))
      throw ruleBroken(
        `#/analysis/${name}/maximum`,
        'maximum-below-minimum',
        maximum,
        `${value} or more, beside a minimum`,
        'The guaranteed maximum must be above the minimum.',
      );
}

function pointerOf(field: string): string {
  const name = LAB_NUTRIENTS.find((one) => labReport(one).field === field);
  return name === undefined ? '#/analysis' : `#/analysis/${name}/value`;
}

const READING_PLACES = 6;

function answerFrom(row: LabTestRow, reversal: ReversalRow | undefined): Answer {
  const { analysis } = labTestOf(row);
  const { acidDetergentFiberPercent, neutralDetergentFiberPercent } = analysis;
  const index =
    acidDetergentFiberPercent === undefined ||
    neutralDetergentFiberPercent === undefined ||
    neutralDetergentFiberPercent <= 0
      ? null
      : rohweder1978RelativeFeedValue({ acidDetergentFiberPercent, neutralDetergentFiberPercent }).relativeFeedValue;
  const reading = Object.fromEntries(
    Object.entries(analysis)
      .filter((entry): entry is [string, number] => typeof entry[1] === 'number')
      .map(([field, value]) => [field, Number(value.toFixed(READING_PLACES))]),
  );
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    lab: row.lab,
    reportNumber: row.report_number,
    sampledOn: row.sampled_on,
    method: row.method,
    basis: row.basis,
    cores: row.cores,
    balesSampled: row.bales_sampled,
    analysis: row.analysis as Record<string, { value: string; unit: string }>,
    onDryMatter: reading,
    relativeFeedValue: index === null ? null : Math.round(index * 10) / 10,
    warnings: row.warnings as Warning[],
    lotCautions: null,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}

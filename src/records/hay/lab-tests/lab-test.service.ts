import { Injectable } from '@nestjs/common';
import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { LAB_NUTRIENTS, labReport } from '../../../core/nutrients/nutrients.js';
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
    const typed = Object.fromEntries(
      Object.entries(body.analysis).filter(([, value]) => value !== undefined),
    ) as TypedAnalysis;
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
    const warnings: Warning[] = [...checked.value.warnings, ...most.value.warnings].map(
      ({ code, message, source }) => ({ code, message, source }),
    );
    const baledOn = baledAfter(lot, body.sampledOn);
    if (baledOn !== null) warnings.push(sampledBefore(baledOn, body.sampledOn));
    const row = await this.store.insert(tenant, {
      hay_lot_id: body.hayLotId,
      lab: body.lab,
      sampled_on: body.sampledOn,
      method: body.method,
      basis: body.basis,
      cores: body.cores ?? null,
      bales_sampled: body.balesSampled ?? null,
      analysis: JSON.stringify(typed),
      warnings: JSON.stringify(warnings),
      note: body.note ?? null,
    });
    await tenant.audit({ action: 'lab-test.create', subjectKind: 'lab-test', subjectId: row.id, after: row });
    return answerFrom(row, undefined);
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

/** A standing crop may be sampled, so it is no error; what is in the bales may differ. */
const sampledBefore = (baledOn: string, sampledOn: string): Warning => ({
  code: 'sampled-before-it-was-baled',
  message: `Sampled on ${sampledOn}, before the hay was baled on ${baledOn}: it tells of the standing crop, if at all.`,
  source: 'common practice, no source',
});

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

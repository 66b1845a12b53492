import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { analysisOnDryMatter, type ConcentrationBasis } from '../../core/forage/basis.js';
import type { ForageAnalysis } from '../../core/forage/forage-analysis.js';
import type { LabMethod } from '../../core/forage/lab-test-methods.data.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { LAB_VALUES, type LabValueName } from './lab-test.schema.js';

export type LabTestRow = Selectable<DB['lab_test']>;
export type TypedAnalysis = Partial<Record<LabValueName, { value: string; unit: string }>>;

export interface KnownLabTest {
  id: string;
  hayLotId: string;
  lab: string;
  sampledOn: string;
  method: LabMethod;
  cores: number | null;
  /** On the dry matter basis. */
  analysis: ForageAnalysis;
}

/** Typed values as the core's analysis, still on the basis they were typed in. */
export function analysisOf(typed: TypedAnalysis): ForageAnalysis {
  const entries = Object.entries(typed).map(([name, { value, unit }]): [string, number] => {
    const { field, units } = LAB_VALUES[name as LabValueName];
    return [field, Number(value) * ((units as Readonly<Record<string, number>>)[unit] ?? 1)];
  });
  const numbers = Object.fromEntries(entries);
  return { ...numbers, dryMatterPercent: numbers['dryMatterPercent'] ?? Number.NaN };
}

export function labTestOf(row: LabTestRow): KnownLabTest {
  const analysis = analysisOnDryMatter({ analysis: analysisOf(row.analysis as TypedAnalysis), basis: row.basis as ConcentrationBasis });
  return { id: row.id, hayLotId: row.hay_lot_id, lab: row.lab, sampledOn: row.sampled_on, method: row.method as LabMethod, cores: row.cores, analysis };
}

@Injectable()
export class LabTestRead {
  /**
   * The tests of each lot that were known at an instant (entered by then, and not withdrawn by then), newest sample first.
   * The first of each is the one in force.
   */
  async knownAt({ db, operationId }: OperationTenant, lotIds: readonly string[], instant: string): Promise<Map<string, KnownLabTest[]>> {
    const byLot = new Map<string, KnownLabTest[]>();
    if (lotIds.length === 0) return byLot;
    const rows = await db.selectFrom('lab_test')
      .leftJoin('reversal', (join) => join.onRef('reversal.operation_id', '=', 'lab_test.operation_id').onRef('reversal.subject_id', '=', 'lab_test.id').on('reversal.recorded_at', '<=', instant))
      .selectAll('lab_test').where('lab_test.operation_id', '=', operationId).where('lab_test.hay_lot_id', 'in', [...lotIds])
      .where('lab_test.recorded_at', '<=', instant).where('reversal.id', 'is', null)
      .orderBy('lab_test.sampled_on', 'desc').orderBy('lab_test.recorded_at', 'desc').execute();
    for (const row of rows) byLot.set(row.hay_lot_id, [...(byLot.get(row.hay_lot_id) ?? []), labTestOf(row)]);
    return byLot;
  }
}

import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { ImportRead } from '../../records/import/import.read.js';
import type * as imports from '../../records/import/import.schema.js';
import { ImportService } from '../../records/import/import.service.js';
import type { RowDoubt } from '../../records/import/row-problem.js';
import { askedBefore, JudgedFeedingService } from './judged-feeding.service.js';

type Check = AnswerOf<typeof imports.checkFeedings>;
type Import = AnswerOf<typeof imports.getImport>;
type RowCautions = Pick<Import, 'rowCautions' | 'judgedRecordCount'>;
interface Judged {
  readonly told: RowCautions;
  readonly asked: readonly RowDoubt[];
}
type Input = InputOf<typeof imports.importFeedings>;
type CheckInput = Pick<InputOf<typeof imports.checkFeedings>, 'params' | 'query' | 'body'>;

/**
 * A day takes some 10 ms of one core to judge for each herd, and a check holds its lots and herds meanwhile: this is
 * some ten seconds. Common practice, no source. The description of the field says it.
 */
const FEEDINGS_JUDGED_MAX = 1000;

/**
 * Files of feedings: the records write them; the judge adds, row by row, what each feeding by itself is answered with,
 * of a check before it is taken back.
 */
@Injectable()
export class JudgedFeedingFileService {
  constructor(
    private readonly imports: ImportService,
    private readonly importRead: ImportRead,
    private readonly judged: JudgedFeedingService,
    private readonly database: Database,
  ) {}

  check(asker: Asker, input: CheckInput): Promise<Check> {
    return this.imports.check(asker, input, 'feedings', (tenant, made) => this.#judged(tenant, made));
  }

  async take(asker: Asker, input: Input): Promise<Import> {
    let told: RowCautions | undefined;
    const taken = await this.imports.take(asker, input, 'feedings', async (tenant, made) => {
      const found = await this.#judged(tenant, made);
      told = found.told;
      return found;
    });
    // An import of this file that stands already is told as it is now.
    if (told !== undefined) return taken;
    return this.database.readIn(asker, input.params.operationId, async (tenant) => ({
      ...taken,
      ...(await this.#judged(tenant, await this.importRead.made(tenant, taken.id))).told,
    }));
  }

  async #judged(tenant: OperationTenant, made: readonly { row: number; id: string }[]): Promise<Judged> {
    const rowOf = new Map(made.map(({ row, id }) => [id, row]));
    const feedings = await this.judged.tellable(tenant, [...rowOf.keys()], FEEDINGS_JUDGED_MAX);
    const ofRow = ({ id }: { id: string }): number => rowOf.get(id) ?? 0;
    return {
      told: {
        rowCautions: feedings
          .map((feeding) => ({ row: ofRow(feeding), cautions: feeding.cautions }))
          .filter(({ cautions }) => cautions.length > 0)
          .sort((a, b) => a.row - b.row),
        judgedRecordCount: feedings.length,
      },
      asked: feedings.flatMap((feeding) =>
        askedBefore(tenant, feeding).map((doubt) => ({ ...doubt, row: ofRow(feeding), column: null })),
      ),
    };
  }
}

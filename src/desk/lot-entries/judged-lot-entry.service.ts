import { Injectable } from '@nestjs/common';
import type { UnitSystem } from '../../core/units/unit.js';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { ImportRead } from '../../records/import/import.read.js';
import type * as imports from '../../records/import/import.schema.js';
import { ImportService } from '../../records/import/import.service.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { LotCautionsRead } from './lot-cautions.read.js';

type Import = AnswerOf<typeof imports.getImport>;
type Check = AnswerOf<typeof imports.checkLabTests>;
type CheckInput = Pick<InputOf<typeof imports.checkLabTests>, 'params' | 'query' | 'body'>;
type HayImport = 'hay-tickets' | 'lab-tests' | 'hay-observations';

const OF_HAY: readonly string[] = ['hay-tickets', 'lab-tests', 'hay-observations'] satisfies HayImport[];

/**
 * Entries about a lot as answered: the records write and read them; the judge adds what the lot is under now, so that
 * whoever enters a test or a load sees it at once.
 */
@Injectable()
export class JudgedLotEntryService {
  constructor(
    private readonly imports: ImportService,
    private readonly importRead: ImportRead,
    private readonly cautions: LotCautionsRead,
    private readonly database: Database,
  ) {}

  /** The answer with the cautions of its lot. */
  async withCautions<Answer extends { lotCautions: Import['lotCautions'] }>(
    tenant: OperationTenant,
    answer: Answer,
    lotIds: readonly string[],
    units?: UnitSystem,
  ): Promise<Answer> {
    const found = await this.cautions.of(tenant, lotIds);
    return {
      ...answer,
      lotCautions: found.map((one) => cautionAnswer(one, units ?? tenant.operation.unitPreference)),
    };
  }

  /** What the lots would be under: read of what the check wrote, before it is taken back. */
  check(asker: Asker, input: CheckInput, kind: HayImport): Promise<Check> {
    return this.imports.check(asker, input, kind, async (tenant, made) => ({
      told: await this.#ofRecords(
        tenant,
        made.map(({ id }) => id),
      ),
    }));
  }

  async take(asker: Asker, input: InputOf<typeof imports.importLabTests>, kind: HayImport): Promise<Import> {
    const taken = await this.imports.take(asker, input, kind);
    return this.database.readIn(asker, input.params.operationId, (tenant) => this.#imported(tenant, taken));
  }

  async import(tenant: OperationTenant, input: InputOf<typeof imports.getImport>): Promise<Import> {
    return this.#imported(tenant, await this.imports.get(tenant, input));
  }

  async #imported(tenant: OperationTenant, answer: Import): Promise<Import> {
    if (!OF_HAY.includes(answer.kind)) return answer;
    const made = await this.importRead.made(tenant, answer.id);
    return {
      ...answer,
      ...(await this.#ofRecords(
        tenant,
        made.map(({ id }) => id),
      )),
    };
  }

  async #ofRecords(tenant: OperationTenant, ids: readonly string[]): Promise<Pick<Import, 'lotCautions'>> {
    return this.withCautions(tenant, { lotCautions: null }, await this.importRead.lotIds(tenant, ids));
  }
}

import { Injectable } from '@nestjs/common';
import {
  linesOfBooks,
  type OperationLines,
  ROLL_UP_LINES,
  rollUp,
  type RollUpLine,
} from '../../core/season/roll-up.js';
import { Money } from '../../core/units/money.js';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HayPositionService } from '../hay-position/hay-position.service.js';
import { ActualMoneyService } from '../money-budget/actual-money.service.js';
import { spanOf } from '../report-period.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';
import type * as api from './roll-up.schema.js';

type Answer = AnswerOf<typeof api.getRollUp>;
type Query = InputOf<typeof api.getRollUp>['query'];
type Worked = OperationLines & { told: Omit<Answer['operations'][number], 'lines'> };

/** One report over every operation in which the person asking may see prices. */
@Injectable()
export class RollUpService {
  constructor(
    private readonly database: Database,
    private readonly actual: ActualMoneyService,
    private readonly season: SeasonCostService,
    private readonly position: HayPositionService,
  ) {}

  /** Each operation in a transaction of its own, entered as for its own reports: what closes one closes it here. */
  async report(asker: Asker, { query }: InputOf<typeof api.getRollUp>): Promise<Answer> {
    spanOf(query);
    const mine = await this.database.read(asker, (tenant) =>
      Promise.resolve(
        tenant.memberships
          .map(({ operationId }) => operationId)
          .filter((operationId) => tenant.may('prices', operationId)),
      ),
    );
    const worked: Worked[] = [];
    for (const operationId of [...new Set(mine)]) {
      const one = await this.database.readIn(asker, operationId, (tenant) => this.#of(tenant, query));
      if (one !== undefined) worked.push(one);
    }
    worked.sort((one, other) => (one.told.operation < other.told.operation ? -1 : 1));
    return {
      from: query.from,
      until: query.until,
      currency: query.currency ?? null,
      onDay: query.until,
      method:
        'Each operation by its own costing method and in its own currency: hay, other feed, yardage and late bills ' +
        'as its season cost has them, cattle and other costs as its closeouts, hay and feed on hand as its hay ' +
        'position. Sums are apart for each currency.',
      operations: worked.map(({ told, lines }) => ({ ...told, lines: linesAnswer(lines) })),
      sums: rollUp(worked).map(({ currency, operationIds, lines }) => ({
        currency,
        operations: operationIds.length,
        lines: linesAnswer(lines),
      })),
    };
  }

  async #of(tenant: OperationTenant, query: Query): Promise<Worked | undefined> {
    const currency = asCurrency(tenant.operation.currency);
    if (query.currency !== undefined && query.currency !== currency) return undefined;
    const units = query.units ?? tenant.operation.unitPreference;
    const span = { from: query.from, until: query.until };
    const { method, flags, amounts } = await this.actual.of(tenant, span);
    const season = await this.season.compute(tenant, { ...span, by: 'operation', units });
    const position = await this.position.compute(tenant, { on: query.until, units });
    const onHand = Money.of(position.total.value.amount, currency);
    return {
      operationId: tenant.operationId,
      currency,
      lines: linesOfBooks(amounts, onHand, currency),
      told: {
        operationId: tenant.operationId,
        operation: tenant.operation.name,
        invented: tenant.operation.invented,
        currency,
        units,
        costingMethod: method,
        flags,
        hayFed: season.total.fed,
        onHand: position.total.quantity,
      },
    };
  }
}

function linesAnswer(lines: Readonly<Record<RollUpLine, Money>>): Answer['sums'][number]['lines'] {
  return ROLL_UP_LINES.map((line) => ({ line, amount: formatMoney(lines[line]) }));
}

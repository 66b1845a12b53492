import { Injectable } from '@nestjs/common';
import { USUAL_JUDGING } from '../../desk/judge/ration-judge.js';
import { RationEvaluationService } from '../../desk/rations/ration-evaluation.service.js';
import { RationService } from '../../desk/rations/ration.service.js';
import { WhatIfService } from '../../desk/what-if/what-if.service.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { HayLotService } from '../../records/hay/lots/hay-lot.service.js';
import { shown, spelled } from '../yard/words.js';
import type * as api from './desk-page.schema.js';
import { type FieldTold, laidByForm, type RationTyped, toldAt, typedOf } from './ration-form.js';

type DeskPage = AnswerOf<typeof api.rationDeskPage>;
type Asked = Pick<DeskPage, 'herdId' | 'on' | 'units'>;
const MOST = 200;
const JUDGING = { ...USUAL_JUDGING, tests: 'now', weather: 'known' } as const;

/** The nutritionist's pages: each asks the services of the API, and keeps what was typed beside what they say. */
@Injectable()
export class DeskPageService {
  constructor(
    private readonly whatIfs: WhatIfService,
    private readonly rations: RationService,
    private readonly evaluations: RationEvaluationService,
    private readonly herds: HerdRead,
    private readonly lots: HayLotService,
  ) {}

  async rationDesk(tenant: OperationTenant, { params, query }: InputOf<typeof api.rationDeskPage>): Promise<DeskPage> {
    const { on = dayIn(tenant.operation.timeZone, tenant.moment), units, ...fields } = query;
    const asked = { herdId: params.herdId, on, units: units ?? tenant.operation.unitPreference };
    const herd = await this.herds.one(tenant, params.herdId);
    const sent = typedIn(fields);
    const lots = await this.lots.list(tenant, {
      params,
      query: { limit: MOST, onHand: 'true', reversed: 'false', units: asked.units },
    });
    const { inUse, laid, problems } = await this.#sideBySide(tenant, asked, sent);
    const typed = sent ?? (await this.#asInUse(tenant, asked, inUse?.evaluation.rationId ?? null));
    return {
      ...asked,
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      herd: herd.name,
      lots: lots.items.map(({ id, name, hayKind, balance }) => ({
        id,
        name,
        kind: spelled(hayKind),
        left: shown(balance, 1),
      })),
      typed,
      problems: [...problems],
      inUse,
      laid,
    };
  }

  /** Where to go: to the draft that was made, or back to the form with what is wrong. */
  async keep(tenant: OperationTenant, { params, body }: InputOf<typeof api.keepRationByForm>): Promise<string> {
    const { on = dayIn(tenant.operation.timeZone, tenant.moment), units, ...fields } = body;
    const asked = { herdId: params.herdId, on, units: units ?? tenant.operation.unitPreference };
    const typed = typedIn(fields) ?? {};
    const form = laidByForm(typed);
    const { problems } = form.ok ? await this.#sideBySide(tenant, asked, typed) : form;
    const home = `/yard/operations/${tenant.operationId}`;
    if (!form.ok || problems.length > 0) {
      const query = new URLSearchParams({ ...typed, on, units: asked.units }).toString();
      return `${home}/herds/${params.herdId}/ration-desk?${query}`;
    }
    const draft = await this.rations.create(tenant, {
      params,
      query: { units: asked.units },
      body: { ...form.content, herdId: params.herdId, baleRounding: 'open-enough' },
    });
    return `${home}/rations/${draft.id}`;
  }

  async ration(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.rationPage>,
  ): Promise<AnswerOf<typeof api.rationPage>> {
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const ration = await this.rations.get(tenant, { params, query: { units: query.units } });
    const asked = { ...JUDGING, on: query.on ?? today, units: query.units };
    const evaluation = await this.evaluations.kept(tenant, { params, query: asked });
    const notes = await this.rations.listNotes(tenant, { params, query: { limit: MOST } });
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      today,
      mayDesk: tenant.may('desk', tenant.operationId),
      mayRecords: tenant.may('records', tenant.operationId),
      ration,
      evaluation,
      notes: notes.items.map(({ words, kind, writer, writtenAt }) => ({
        words,
        kind,
        writer,
        on: writtenAt.slice(0, 10),
      })),
    };
  }

  /** The ration in use, and what was laid where it can be; what was not is told at its field. */
  async #sideBySide(
    tenant: OperationTenant,
    asked: Asked,
    typed: RationTyped | undefined,
  ): Promise<Pick<DeskPage, 'inUse' | 'laid'> & { problems: readonly FieldTold[] }> {
    const judged = async (more: Parameters<WhatIfService['judge']>[1]['body']['rations']) =>
      this.whatIfs.judge(tenant, {
        params: { operationId: tenant.operationId },
        query: { ...JUDGING, on: asked.on, units: asked.units },
        body: { herdIds: [asked.herdId], assume: {}, rations: [{ kind: 'in-use' }, ...more] },
      });
    const inUseOf = (answer: Awaited<ReturnType<typeof judged>>): DeskPage['inUse'] => {
      const { ration, evaluation = null } = answer.herds[0]?.rations[0] ?? {};
      return ration === undefined || evaluation === null ? null : { ration, evaluation };
    };
    const form = typed === undefined ? undefined : laidByForm(typed);
    if (form?.ok !== true)
      return { inUse: inUseOf(await judged([])), laid: null, problems: form === undefined ? [] : form.problems };
    try {
      const answer = await judged([{ kind: 'unsaved', ...form.content }]);
      return { inUse: inUseOf(answer), laid: answer.herds[0]?.rations[1]?.evaluation ?? null, problems: [] };
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      const inBody = (pointer: string): string => form.fieldOf(pointer.replace(/^#\/rations\/1/, '#'));
      return {
        inUse: inUseOf(await judged([])),
        laid: null,
        problems: toldAt(error.errors, error.detail, inBody),
      };
    }
  }

  /** What the form begins with: the ration in use, where there is one. */
  async #asInUse(tenant: OperationTenant, { units }: Asked, rationId: string | null): Promise<RationTyped> {
    if (rationId === null) return {};
    const params = { operationId: tenant.operationId, rationId };
    return typedOf(await this.rations.get(tenant, { params, query: { units } }), units);
  }
}

/** What came of the form; none where the page was opened without it. */
function typedIn(fields: Readonly<Record<string, unknown>>): RationTyped | undefined {
  const typed = Object.entries(fields).flatMap(([field, value]) =>
    typeof value === 'string' ? [[field, value] as const] : [],
  );
  return typed.length === 0 ? undefined : Object.fromEntries(typed);
}

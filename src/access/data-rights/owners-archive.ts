import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import { packArchive, type PackedArchive } from './archive-format.js';
import { ArchiveRead } from './archive.read.js';
import { NOT_IN_ARCHIVE } from './archive-tables.read.js';

/** An archive without its last line, as it comes from a thread: in base64. */
export interface MadeArchive extends Omit<PackedArchive, 'content'> {
  content: string;
}

/** Makes the archive of an operation, as far as the person asking may see it, where that holds up nobody. */
@Injectable()
export class OwnersArchive {
  constructor(
    private readonly database: Database,
    private readonly archives: ArchiveRead,
    private readonly heavyWork: HeavyWork,
  ) {}

  /** In a thread, if there are threads that know the database. @throws Problem too-much-at-once, took-too-long */
  async made(asker: Asker, operationId: string): Promise<MadeArchive> {
    if (!this.heavyWork.answersRequests) return this.here(asker, operationId);
    const work = { personId: asker.personId, operationId };
    return (await this.heavyWork.run(work, { kind: 'archive', asker, operationId })) as MadeArchive;
  }

  async here(asker: Asker, operationId: string): Promise<MadeArchive> {
    return this.database.readIn(asker, operationId, async ({ db, operation, moment }) => {
      const head = { operationId, name: operation.name, exportedAt: moment.toISOString() };
      const { content, ...facts } = await packArchive(head, this.archives.records(db, operationId, NOT_IN_ARCHIVE));
      return { ...facts, content: content.toString('base64') };
    });
  }
}

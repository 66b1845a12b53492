import pg from 'pg';
import { DatabaseRoleProblem } from './app-login.js';

/**
 * Before anything is changed: whether the schema's owner may make the groups that the guards are about
 * (prisma/guards/10-database-roles.sql), or has them made for it. @throws DatabaseRoleProblem saying what is missing
 */
export async function refuseOwnerWithoutRoles(ownerUrl: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  client.on('error', () => undefined);
  await client.connect();
  try {
    const { rows } = await client.query<{ owner: string; may: boolean; app: boolean; acts: boolean }>(
      `SELECT r.rolname AS owner, r.rolsuper OR r.rolcreaterole AS may,
              EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'rickyard_app') AS app,
              EXISTS (SELECT 1 FROM pg_roles e WHERE e.rolname = 'rickyard_eraser' AND pg_has_role(r.oid, e.oid,
                CASE WHEN current_setting('server_version_num')::int >= 160000 THEN 'SET' ELSE 'MEMBER' END)) AS acts
         FROM pg_roles r WHERE r.rolname = current_user`,
    );
    const [found] = rows;
    if (found === undefined || found.may || (found.app && found.acts)) return;
    const owner = client.escapeIdentifier(found.owner);
    throw new DatabaseRoleProblem(
      `The owner in DATABASE_URL, "${found.owner}", may not create roles, and two groups are needed. Nothing was ` +
        `changed. Have an administrator give it that right (ALTER ROLE ${owner} CREATEROLE), or make them: ` +
        'CREATE ROLE rickyard_app NOLOGIN; CREATE ROLE rickyard_eraser NOLOGIN; ' +
        `GRANT rickyard_eraser TO ${owner}; and the server's login, which APP_DATABASE_URL then names: ` +
        "CREATE ROLE rickyard_server LOGIN PASSWORD '…' IN ROLE rickyard_app;",
    );
  } finally {
    await client.end();
  }
}

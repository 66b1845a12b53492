import { createHmac } from 'node:crypto';
import pg from 'pg';
import { hostsOf } from './database-hosts.js';

const GROUP = 'rickyard_app';

export class DatabaseRoleProblem extends Error {
  override name = 'DatabaseRoleProblem';
}

/**
 * The connection that requests are served with: a login of its own, member of `rickyard_app`, that owns nothing. Its
 * password is derived from the owner's, so that every server of the same database gets the same one and none has to be
 * stored. @throws DatabaseRoleProblem where the owner may not create roles.
 */
export async function ensureAppLogin(ownerUrl: string): Promise<string> {
  const url = new URL(ownerUrl);
  const database = decodeURIComponent(url.pathname.slice(1));
  if (url.password === '') {
    throw new DatabaseRoleProblem(
      "DATABASE_URL carries no password, so none can be derived for the server's own role. Create a login that is " +
        'a member of rickyard_app and name it in APP_DATABASE_URL.',
    );
  }
  const login = `${database.replace(/[^a-zA-Z0-9_]/g, '_')}_server`.slice(0, 60);
  const password = createHmac('sha256', decodeURIComponent(url.password))
    .update(`rickyard server login ${database}`)
    .digest('hex');
  await asOwner(ownerUrl, async (owner) => {
    const { rowCount } = await owner.query('SELECT 1 FROM pg_roles WHERE rolname = $1', [login]);
    if (rowCount === 0) await createLogin(owner, login, password);
    else await owner.query(`ALTER ROLE ${owner.escapeIdentifier(login)} PASSWORD ${owner.escapeLiteral(password)}`);
    await allowToConnect(owner, database, login);
  });
  url.username = login;
  url.password = password;
  return url.toString();
}

/**
 * Makes the login that `appUrl` names, a member of `rickyard_app` with that password, unless there is one of that name:
 * that one stays as it is. Returns the name of what was made. @throws DatabaseRoleProblem where the owner may not.
 */
export async function makeNamedLogin(ownerUrl: string, appUrl: string): Promise<string | undefined> {
  const { username, password, pathname } = new URL(hostsOf(appUrl)[0] ?? '');
  const login = decodeURIComponent(username);
  return asOwner(ownerUrl, async (owner) => {
    const { rowCount } = await owner.query('SELECT 1 FROM pg_roles WHERE rolname = $1', [login]);
    if (rowCount !== 0 || password === '') return undefined;
    await createLogin(owner, login, decodeURIComponent(password));
    await allowToConnect(owner, decodeURIComponent(pathname.slice(1)), login);
    return login;
  });
}

async function createLogin(owner: pg.Client, login: string, password: string): Promise<void> {
  await owner.query(
    `CREATE ROLE ${owner.escapeIdentifier(login)} LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS ` +
      `PASSWORD ${owner.escapeLiteral(password)} IN ROLE ${GROUP}`,
  );
}

async function allowToConnect(owner: pg.Client, database: string, login: string): Promise<void> {
  await owner.query(
    `GRANT CONNECT ON DATABASE ${owner.escapeIdentifier(database)} TO ${owner.escapeIdentifier(login)}`,
  );
}

/** @throws DatabaseRoleProblem where the owner may not create roles. */
async function asOwner<T>(ownerUrl: string, work: (owner: pg.Client) => Promise<T>): Promise<T> {
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    // Two servers that start at once both get here.
    await owner.query('SELECT pg_advisory_lock(727502)');
    return await work(owner);
  } catch (error) {
    const { code, message } = error as pg.DatabaseError;
    if (code === '42501') {
      throw new DatabaseRoleProblem(
        `The owner in DATABASE_URL may not create roles (${message}). Have an administrator create a login that is a ` +
          `member of ${GROUP} and name it in APP_DATABASE_URL.`,
      );
    }
    throw error;
  } finally {
    await owner.end();
  }
}

/** Refuses a role that row-level security would not apply to. @throws DatabaseRoleProblem */
export async function refuseUnguardedRole(pool: pg.Pool): Promise<void> {
  const { rows } = await pool.query<{
    role: string;
    superuser: boolean;
    bypasses: boolean;
    owns: string[] | null;
    member: boolean;
  }>(`
    SELECT r.rolname AS role, r.rolsuper AS superuser, r.rolbypassrls AS bypasses, pg_has_role(r.rolname, '${GROUP}',
      'member') AS member,
           (SELECT array_agg(c.relname::text ORDER BY c.relname) FROM pg_class c
             JOIN pg_namespace n ON n.oid = c.relnamespace
             WHERE c.relkind = 'r' AND n.nspname IN ('public', 'rickyard')
               AND pg_has_role(r.oid, c.relowner, 'member')) AS owns
      FROM pg_roles r WHERE r.rolname = current_user`);
  const [found] = rows;
  if (found === undefined) throw new DatabaseRoleProblem('The database does not know the role it was connected with.');
  const faults = [
    ...(found.superuser ? ['is a superuser'] : []),
    ...(found.bypasses ? ['bypasses row-level security'] : []),
    ...(found.owns !== null && !found.superuser ? [`owns tables (${someOf(found.owns)})`] : []),
    ...(found.member ? [] : [`is no member of ${GROUP}`]),
  ];
  if (faults.length > 0) {
    throw new DatabaseRoleProblem(
      `The server will not run as the database role "${found.role}": it ${faults.join(' and ')}, so rows of one ` +
        'operation could be visible in another.',
    );
  }
}

function someOf(tables: readonly string[]): string {
  const more = tables.length > 3 ? ` and ${tables.length - 3} more` : '';
  return `${tables.slice(0, 3).join(', ')}${more}`;
}

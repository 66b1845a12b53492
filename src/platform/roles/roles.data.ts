/**
 * What can be done inside an operation. read: see records without money · prices: see money · records: write the hay
 * books, herds, tests · daily: feedings, weights, checks · desk: rations, sheets, trials · office: reports' periods
 * and closing · own: people, keys, settings.
 */
export const ACTS = ['read', 'prices', 'records', 'daily', 'desk', 'office', 'own'] as const;
export type Act = (typeof ACTS)[number];

interface RoleRow {
  role: string;
  /**
   * `prices` applies only if the membership grants it too. A role without it can have no membership that sees prices.
   */
  acts: readonly Act[];
  /** Whose passphrase an owner may help to reset: the operation's own people, not partners or consultants. */
  ownerRecovers: boolean;
}

/**
 * Who may do what in an operation, in one table. The database decides by prisma/guards/20-role-acts.sql, which is made
 * from this table (UPDATE_SNAPSHOTS=1 rewrites it), the server by `mayAct`, and the access matrix is made from it.
 */
const ROLE_TABLE = [
  { role: 'owner', acts: ACTS, ownerRecovers: false },
  { role: 'manager', acts: ['read', 'prices', 'records', 'daily'], ownerRecovers: true },
  { role: 'hand', acts: ['read', 'daily'], ownerRecovers: true },
  { role: 'nutritionist', acts: ['read', 'prices', 'desk'], ownerRecovers: false },
  { role: 'accountant', acts: ['read', 'prices', 'office'], ownerRecovers: true },
] as const satisfies readonly RoleRow[];

export type Role = (typeof ROLE_TABLE)[number]['role'];
export const ROLES = ROLE_TABLE.map((row) => row.role) as [Role, ...Role[]];

const ROWS: ReadonlyMap<string, RoleRow> = new Map(ROLE_TABLE.map((row) => [row.role, row]));

/** The most that the role may do, in the order of `ACTS`; empty if there is no such role. */
export function actsOf(role: string): readonly Act[] {
  return ROWS.get(role)?.acts ?? [];
}

/** May a member in this role see prices at all? */
export function maySeePrices(role: string): boolean {
  return actsOf(role).includes('prices');
}

/** The roles in which an owner may help a member to a new passphrase. */
export const RECOVERED_BY_OWNER: readonly string[] = ROLE_TABLE.filter((row) => row.ownerRecovers).map(
  (row) => row.role,
);

/** May this member, with this key's scopes (null: in person), do this act? */
export function mayAct(role: string, seesPrices: boolean, scopes: readonly string[] | null, act: Act): boolean {
  return actsOf(role).includes(act) && (act !== 'prices' || seesPrices) && (scopes === null || scopes.includes(act));
}

/**
 * For a session of the schema's owner: a role that it makes is one it may act as. A superuser may anyway; the owner on
 * a managed cluster, who may only make roles, is otherwise given no more than the right to hand them out (PostgreSQL
 * 16 and later).
 */
export const MAY_ACT_AS_OWN_ROLES = `
  SELECT set_config('createrole_self_grant', 'set, inherit', false)
   WHERE current_setting('server_version_num')::int >= 160000`;

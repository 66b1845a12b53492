/**
 * For a session of the schema's owner: lets it act as the roles it creates. A superuser may anyway; the owner on a
 * managed cluster, who may only create roles, otherwise gets only the right to grant them (PostgreSQL 16 and later).
 */
export const MAY_ACT_AS_OWN_ROLES = `
  SELECT set_config('createrole_self_grant', 'set, inherit', false)
   WHERE current_setting('server_version_num')::int >= 160000`;

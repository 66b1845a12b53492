-- The roles of the database itself and the schemas that hold the guards.

-- The server logs in as a member of rickyard_app, a group without login that owns nothing and bypasses nothing.
-- rickyard_eraser deletes a whole operation (80-erasure.sql); nobody logs in as it.
DO $$
DECLARE
  group_role text;
BEGIN
  FOREACH group_role IN ARRAY ARRAY['rickyard_app', 'rickyard_eraser'] LOOP
    IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = group_role) THEN
      EXECUTE format('CREATE ROLE %I NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS', group_role);
    END IF;
  END LOOP;
  -- The eraser owns a function; only a role that may act as it may create or replace that. Since PostgreSQL 16 a member
  -- may not always: the creator of the role may only grant it.
  IF NOT pg_has_role(current_user, 'rickyard_eraser',
    CASE WHEN current_setting('server_version_num')::int >= 160000 THEN 'SET' ELSE 'MEMBER' END)
  THEN
    EXECUTE format('GRANT rickyard_eraser TO %I', current_user);
  END IF;
END $$;

CREATE SCHEMA IF NOT EXISTS rickyard;
-- A schema of its own: what is granted on everything in rickyard must never reach the functions that erase.
CREATE SCHEMA IF NOT EXISTS rickyard_erasure;
-- Any role that may use a schema may call its functions unless a guard revokes that: PostgreSQL's own rule.
GRANT USAGE ON SCHEMA public, rickyard, rickyard_erasure TO rickyard_app, rickyard_eraser;
GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO rickyard_app;
-- A server that has only its own login compares these with its release before it serves.
GRANT SELECT ON rickyard.applied_guard TO rickyard_app;

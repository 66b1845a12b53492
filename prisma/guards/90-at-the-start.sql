-- What a server asks before it serves.

-- Whether anything is here at all, for whoever decides whether the demo is loaded: yes or no, and nothing of it.

DO $$
BEGIN
  EXECUTE format('CREATE POLICY person_any ON person FOR SELECT TO %I '
    'USING (rickyard.setting(''looking_for_any'') = ''yes'')', current_user);
  EXECUTE format('CREATE POLICY operation_any ON operation FOR SELECT TO %I '
    'USING (rickyard.setting(''looking_for_any'') = ''yes'')', current_user);
END $$;

CREATE OR REPLACE FUNCTION rickyard.is_empty() RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  found_any boolean;
BEGIN
  PERFORM set_config('rickyard.looking_for_any', 'yes', true);
  found_any := EXISTS (SELECT 1 FROM person) OR EXISTS (SELECT 1 FROM operation);
  PERFORM set_config('rickyard.looking_for_any', '', true);
  RETURN NOT found_any;
END $$;

-- By which migrations the database was made, for a server that has only its own login and may not read their table.
CREATE OR REPLACE FUNCTION rickyard.migrations() RETURNS SETOF text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
  SELECT migration_name::text FROM _prisma_migrations WHERE rolled_back_at IS NULL
$$;

-- Deleting an operation. The app may delete no record. One role may, rickyard_eraser: nobody logs in as it, it owns one
-- function, and its policies show it one operation, the one that rickyard_erasure.erase_operation() was asked to erase
-- and found ready: requested by an owner, the wait over, not canceled.

-- Gives the eraser its policy on every table that holds an operation's data and has none yet.
CREATE OR REPLACE FUNCTION rickyard_erasure.allow() RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  held record;
BEGIN
  FOR held IN
    SELECT c.relname AS table_name, format('operation_id = (SELECT rickyard.setting(%L)::uuid)', 'erasing') AS within
      FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
     WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND a.attname = 'operation_id'
       AND NOT a.attisdropped
    UNION ALL SELECT 'operation', format('id = (SELECT rickyard.setting(%L)::uuid)', 'erasing')
    -- First answers stored for repeats contain records too.
    UNION ALL SELECT 'idempotency_record',
      format('route LIKE ''%%'' || (SELECT rickyard.setting(%L)) || ''%%''', 'erasing')
  LOOP
    IF NOT EXISTS (SELECT 1 FROM pg_policies p WHERE p.schemaname = 'public' AND p.tablename = held.table_name
      AND p.policyname = held.table_name || '_erase') THEN
      EXECUTE format('GRANT SELECT, DELETE ON %I TO rickyard_eraser', held.table_name);
      EXECUTE format('CREATE POLICY %I ON %I TO rickyard_eraser USING (%s)', held.table_name
        || '_erase', held.table_name, held.within);
    END IF;
  END LOOP;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.allow() FROM PUBLIC;
SELECT rickyard_erasure.allow();

-- Deletes what the eraser can see, in whatever order the foreign keys allow, and returns how many rows of each table
-- were deleted.
CREATE OR REPLACE FUNCTION rickyard_erasure.erase_rows() RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  remaining text[];
  held_back text[];
  held text;
  gone bigint;
  counts jsonb := '{}';
BEGIN
  SELECT array_agg(p.tablename::text ORDER BY p.tablename) INTO remaining FROM pg_policies p
    WHERE p.schemaname = 'public' AND p.policyname = p.tablename || '_erase';
  WHILE cardinality(remaining) > 0 LOOP
    held_back := '{}';
    FOREACH held IN ARRAY remaining LOOP
      BEGIN
        -- The condition repeats the policy: an answer stored for the person asking would also be visible by another
        -- policy.
        EXECUTE format('DELETE FROM %I WHERE ' || CASE held
          WHEN 'operation' THEN 'id = rickyard.setting(''erasing'')::uuid'
          WHEN 'idempotency_record' THEN 'route LIKE ''%%'' || rickyard.setting(''erasing'') || ''%%'''
          ELSE 'operation_id = rickyard.setting(''erasing'')::uuid' END, held);
        GET DIAGNOSTICS gone = ROW_COUNT;
        counts := counts || jsonb_build_object(held, gone);
      EXCEPTION WHEN foreign_key_violation OR restrict_violation THEN
        held_back := held_back || held;
      END;
    END LOOP;
    IF cardinality(held_back) = cardinality(remaining) THEN
      RAISE EXCEPTION 'these tables hold each other back: %', array_to_string(held_back, ', ');
    END IF;
    remaining := held_back;
  END LOOP;
  RETURN counts;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.erase_rows() FROM PUBLIC;
DO $$
BEGIN
  -- For the change of owner only, a new owner must be able to create in the schema.
  GRANT CREATE ON SCHEMA rickyard_erasure TO rickyard_eraser;
  ALTER FUNCTION rickyard_erasure.erase_rows() OWNER TO rickyard_eraser;
  REVOKE CREATE ON SCHEMA rickyard_erasure FROM rickyard_eraser;
  EXECUTE format('GRANT EXECUTE ON FUNCTION rickyard_erasure.erase_rows() TO %I', current_user);
END $$;

-- The only way. Checks the request again under the rights of the person asking, leaves a record outside, and lets the
-- eraser work.
CREATE OR REPLACE FUNCTION rickyard_erasure.erase_operation(the_operation uuid, the_request text,
  the_address text) RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  asked operation_deletion;
  the_moment timestamptz := rickyard.setting('moment')::timestamptz;
  last_link record;
  the_name text;
  counts jsonb;
BEGIN
  IF rickyard.person() IS NULL OR rickyard.setting('key_id') IS NOT NULL
    OR NOT (the_operation = ANY (rickyard.operations('own'))) THEN
    RAISE EXCEPTION 'only an owner in person can delete an operation' USING ERRCODE = 'RY052';
  END IF;
  SELECT * INTO asked FROM operation_deletion d WHERE d.operation_id = the_operation
    AND d.cancelled_at IS NULL FOR UPDATE;
  IF NOT FOUND OR asked.not_before > the_moment OR asked.expires_at <= the_moment THEN
    RAISE EXCEPTION 'the deletion is not asked for, or its wait is not over, or its time has passed'
      USING ERRCODE = 'RY052';
  END IF;
  PERFORM rickyard_erasure.allow();
  -- Keeps anybody from writing the next link meanwhile.
  PERFORM pg_advisory_xact_lock(hashtextextended(the_operation::text, 729));
  SELECT o.name INTO the_name FROM operation o WHERE o.id = the_operation;
  SELECT a.sequence, a.chain_hash INTO last_link FROM audit_entry a WHERE a.operation_id = the_operation
    ORDER BY a.sequence DESC LIMIT 1;
  PERFORM set_config('rickyard.erasing', the_operation::text, true);
  counts := rickyard_erasure.erase_rows();
  INSERT INTO erased_operation (id, name, requested_at, requested_by, confirmed_at, confirmed_by, request_id, address,
    row_counts, last_sequence, last_chain_hash)
  VALUES (the_operation, the_name, asked.requested_at, asked.requested_by, the_moment, rickyard.person(), the_request,
    the_address, counts, COALESCE(last_link.sequence, 0), COALESCE(last_link.chain_hash, ''));
  PERFORM set_config('rickyard.erasing', '', true);
  RETURN counts;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.erase_operation(uuid, text, text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION rickyard_erasure.erase_operation(uuid, text, text) TO rickyard_app;

-- The audit is a chain: each entry carries the hash of the one before it.
CREATE OR REPLACE FUNCTION rickyard.audit_hash(previous text, entry audit_entry) RETURNS text LANGUAGE sql STABLE AS $$
  SELECT encode(sha256(convert_to(jsonb_build_array(COALESCE(previous, ''), entry.operation_id, entry.sequence,
    to_char(entry.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), entry.person_id, entry.api_key_id,
    entry.request_id, entry.address, entry.action, entry.subject_kind, entry.subject_id, entry.before,
    entry.after)::text, 'UTF8')), 'hex')
$$;

-- Without a sort the last line is found by the index. Of an operation that is new to it the planner expects a single line
-- and would sort all there are, once for each line that a file adds.
CREATE OR REPLACE FUNCTION rickyard.chain_audit_entry() RETURNS trigger LANGUAGE plpgsql SET enable_sort = off AS $$
DECLARE
  last_link record;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.operation_id::text, 729));
  PERFORM set_config('rickyard.chaining', 'yes', true);
  SELECT a.sequence, a.chain_hash INTO last_link FROM audit_entry a WHERE a.operation_id = NEW.operation_id
    ORDER BY a.sequence DESC LIMIT 1;
  PERFORM set_config('rickyard.chaining', '', true);
  NEW.sequence := COALESCE(last_link.sequence, 0) + 1;
  NEW.recorded_at := clock_timestamp();
  NEW.chain_hash := rickyard.audit_hash(last_link.chain_hash, NEW);
  RETURN NEW;
END $$;
CREATE TRIGGER audit_entry_chain BEFORE INSERT ON audit_entry FOR EACH ROW
  EXECUTE FUNCTION rickyard.chain_audit_entry();

-- Heads of chains are signed and kept outside the database, and compared with it later. Of every operation, whoever
-- asks: so the functions below run as the schema's owner, see the audit by a policy of its own, and tell numbers and
-- hashes only.
DO $$
BEGIN
  EXECUTE format('CREATE POLICY audit_entry_heads ON audit_entry FOR SELECT TO %I '
    'USING (rickyard.setting(''reading_heads'') = ''yes'')', current_user);
  EXECUTE format('CREATE POLICY erased_operation_heads ON erased_operation FOR SELECT TO %I '
    'USING (rickyard.setting(''reading_heads'') = ''yes'')', current_user);
END $$;

-- Every link computed again.
CREATE OR REPLACE FUNCTION rickyard.audit_chain(the_operation uuid)
RETURNS TABLE (lines bigint, first_break bigint, last_hash text)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM set_config('rickyard.reading_heads', 'yes', true);
  RETURN QUERY
    WITH links AS (
      SELECT a.sequence, a.chain_hash, row_number() OVER (ORDER BY a.sequence) AS place,
             rickyard.audit_hash(lag(a.chain_hash) OVER (ORDER BY a.sequence), a) AS should_be
        FROM audit_entry a WHERE a.operation_id = the_operation
    )
    SELECT count(*), min(l.place) FILTER (WHERE l.chain_hash <> l.should_be OR l.sequence <> l.place),
           (SELECT e.chain_hash FROM links e ORDER BY e.sequence DESC LIMIT 1)
      FROM links l;
  PERFORM set_config('rickyard.reading_heads', '', true);
END $$;

-- The last line of each operation's chain; from one operation to the next by the index, without reading every line.
CREATE OR REPLACE FUNCTION rickyard.audit_heads()
RETURNS TABLE (operation_id uuid, sequence bigint, chain_hash text)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM set_config('rickyard.reading_heads', 'yes', true);
  RETURN QUERY
    WITH RECURSIVE head AS (
      (SELECT a.operation_id, a.sequence, a.chain_hash FROM audit_entry a
        ORDER BY a.operation_id DESC, a.sequence DESC LIMIT 1)
      UNION ALL
      SELECT later.* FROM head CROSS JOIN LATERAL (
        SELECT a.operation_id, a.sequence, a.chain_hash FROM audit_entry a WHERE a.operation_id < head.operation_id
          ORDER BY a.operation_id DESC, a.sequence DESC LIMIT 1) AS later
    )
    SELECT h.operation_id, h.sequence, h.chain_hash FROM head h;
  PERFORM set_config('rickyard.reading_heads', '', true);
END $$;

-- What the chain holds now at a place that was kept, and whether its operation was deleted in due form since.
CREATE OR REPLACE FUNCTION rickyard.audit_place(the_operation uuid, the_sequence bigint)
RETURNS TABLE (chain_hash text, erased boolean)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM set_config('rickyard.reading_heads', 'yes', true);
  RETURN QUERY
    SELECT (SELECT a.chain_hash FROM audit_entry a WHERE a.operation_id = the_operation AND a.sequence = the_sequence),
           EXISTS (SELECT 1 FROM erased_operation e WHERE e.id = the_operation AND e.last_sequence >= the_sequence);
  PERFORM set_config('rickyard.reading_heads', '', true);
END $$;

-- From which archives an operation was restored: what the restore says of the file, and nothing of the books.
CREATE OR REPLACE FUNCTION rickyard.audit_restores(the_operation uuid)
RETURNS TABLE (sequence bigint, recorded text, told jsonb)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM set_config('rickyard.reading_heads', 'yes', true);
  RETURN QUERY
    SELECT a.sequence, to_char(a.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"'), a.after
      FROM audit_entry a WHERE a.operation_id = the_operation AND a.action = 'operation.restore' ORDER BY a.sequence;
  PERFORM set_config('rickyard.reading_heads', '', true);
END $$;

-- What was entered, corrected or changed in an operation, in the order of its chain, for whoever may read its records:
-- which records, and nothing of what they say or of who did it. One writer at a time adds to a chain, and holds it until
-- it commits: so a number that can be read has none before it that is still to come.
CREATE OR REPLACE FUNCTION rickyard.record_changes(the_operation uuid, kinds text[], after_sequence bigint, most int)
RETURNS TABLE (sequence bigint, recorded_at timestamptz, action text, subject_kind text, record_ids uuid[],
  reversal_id uuid)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  IF NOT the_operation = ANY (rickyard.operations('read')) THEN
    RETURN;
  END IF;
  PERFORM set_config('rickyard.reading_heads', 'yes', true);
  RETURN QUERY
    SELECT a.sequence, a.recorded_at, a.action, a.subject_kind,
      CASE jsonb_typeof(a.after) WHEN 'array' THEN
        ARRAY(SELECT DISTINCT id FROM (
          SELECT a.subject_id AS id UNION ALL
          SELECT (one->>'id')::uuid FROM jsonb_array_elements(a.after) AS one) ids WHERE id IS NOT NULL ORDER BY 1)
      ELSE array_remove(ARRAY[a.subject_id], NULL) END,
      CASE WHEN a.action LIKE '%.reverse' AND jsonb_typeof(a.after) = 'object' THEN (a.after->>'id')::uuid END
      FROM audit_entry a
     WHERE a.operation_id = the_operation AND a.sequence > after_sequence AND a.subject_kind = ANY (kinds)
     ORDER BY a.sequence LIMIT most;
  PERFORM set_config('rickyard.reading_heads', '', true);
END $$;

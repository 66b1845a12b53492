-- The audit is a chain: each entry carries the hash of the one before it.
CREATE OR REPLACE FUNCTION rickyard.chain_audit_entry() RETURNS trigger LANGUAGE plpgsql AS $$
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
  NEW.chain_hash := encode(sha256(convert_to(jsonb_build_array(COALESCE(last_link.chain_hash, ''), NEW.operation_id,
    NEW.sequence,
    to_char(NEW.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), NEW.person_id, NEW.api_key_id,
      NEW.request_id, NEW.address, NEW.action,
    NEW.subject_kind, NEW.subject_id, NEW.before, NEW.after)::text, 'UTF8')), 'hex');
  RETURN NEW;
END $$;
CREATE TRIGGER audit_entry_chain BEFORE INSERT ON audit_entry FOR EACH ROW
  EXECUTE FUNCTION rickyard.chain_audit_entry();

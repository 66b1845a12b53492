-- What was written stays: a mistake is corrected by a reversal, never by an edit.
CREATE OR REPLACE FUNCTION rickyard.refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  -- A whole operation may be deleted, the one way there is for that; a single record never.
  IF TG_OP = 'DELETE' AND current_user = 'rickyard_eraser' THEN RETURN OLD; END IF;
  RAISE EXCEPTION '% is append-only: a mistake is answered by a reversal, never by an edit', TG_TABLE_NAME
    USING ERRCODE = 'RY002';
END $$;

-- Every record that nobody may change or delete (40-tables.sql), and the entries about people that stay as written.
DO $$
DECLARE
  guarded text;
BEGIN
  FOR guarded IN
    SELECT table_name FROM guarded_table WHERE update_act IS NULL AND delete_act IS NULL
    UNION ALL SELECT unnest(ARRAY['audit_entry', 'membership_change', 'erased_operation'])
  LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW '
      'EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT '
      'EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- The progress of an import changes until it ends; after that it stays as it is.
CREATE OR REPLACE FUNCTION rickyard.keep_ended_import() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'an import that has ended stays as it ended' USING ERRCODE = 'RY002';
END $$;
CREATE TRIGGER data_import_ended BEFORE UPDATE ON data_import FOR EACH ROW WHEN (OLD.state <> 'running')
  EXECUTE FUNCTION rickyard.keep_ended_import();
CREATE TRIGGER data_import_no_delete BEFORE DELETE ON data_import FOR EACH ROW
  EXECUTE FUNCTION rickyard.refuse_change();
CREATE TRIGGER data_import_no_truncate BEFORE TRUNCATE ON data_import FOR EACH STATEMENT
  EXECUTE FUNCTION rickyard.refuse_change();

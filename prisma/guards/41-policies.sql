-- Row-level security by acts, made from 40-tables.sql: a row can be seen, added, changed or deleted by a person who may
-- do that act in its operation. Forced, so that it applies to the tables' owner too.
--
-- Statements name the operation of the records they ask for, and their indexes begin with it. Compared alike, the
-- policy's condition would be multiplied with theirs as if the two had nothing to do with each other: of thousands of
-- rows the planner would expect a few dozen, and read and sort them all for a page. So the policy stands within
-- COALESCE, which no index is entered by and which counts for little. An operation itself is found by the policy alone.
DO $$
DECLARE
  rule guarded_table;
  command record;
  within text;
BEGIN
  FOR rule IN SELECT * FROM guarded_table ORDER BY table_name LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', rule.table_name);
    FOR command IN
      SELECT * FROM (VALUES
        ('SELECT', 'read',   rule.read_act,   'USING (%1$s)'),
        ('INSERT', 'insert', rule.insert_act, 'WITH CHECK (%1$s)'),
        ('UPDATE', 'update', rule.update_act, 'USING (%1$s) WITH CHECK (%1$s)'),
        ('DELETE', 'delete', rule.delete_act, 'USING (%1$s)')
      ) AS commands (name, policy, act, condition) WHERE act IS NOT NULL
    LOOP
      SELECT format(CASE rule.key_column WHEN 'operation_id' THEN 'COALESCE(%s, false)' ELSE '%s' END,
          format('%I = ANY (ARRAY(SELECT unnest(%s)))', rule.key_column,
            string_agg(format('rickyard.operations(%L)', act), ' || ' ORDER BY position)))
        INTO within
        FROM regexp_split_to_table(command.act, ' or ') WITH ORDINALITY AS either (act, position);
      EXECUTE format('GRANT %s ON %I TO rickyard_app', command.name, rule.table_name);
      EXECUTE format('CREATE POLICY %I ON %I FOR %s ', rule.table_name || '_' || command.policy, rule.table_name,
        command.name) || format(command.condition, within);
    END LOOP;
  END LOOP;
END $$;

-- What hay cost is kept (costed_entry, costing_state), and what is not yet kept is told by costing_due, written by the
-- entry that changes a cost, whoever makes it: as long as such a row stands, reports replay the ledger instead. It is
-- written for every method under which costs are kept. A change of method holds this lock alone, so that no entry that
-- is still to commit goes unnoticed under the new one.
CREATE OR REPLACE FUNCTION rickyard.costs_fall_due() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  changed record;
BEGIN
  FOR changed IN
    SELECT a.operation_id, l.hay_kind, min(a.effective_on) AS from_on
      FROM added a
      JOIN hay_lot l ON l.operation_id = a.operation_id AND l.id = a.hay_lot_id
     GROUP BY a.operation_id, l.hay_kind ORDER BY a.operation_id, l.hay_kind
  LOOP
    PERFORM pg_advisory_xact_lock_shared(hashtextextended(changed.operation_id::text, 731));
    INSERT INTO costing_pool (operation_id, costing_method, hay_kind)
    SELECT o.id, o.costing_method, changed.hay_kind FROM operation o WHERE o.id = changed.operation_id
        ON CONFLICT DO NOTHING;
    INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on, transaction_number)
    SELECT p.operation_id, p.costing_method, p.hay_kind, changed.from_on, pg_current_xact_id()::text::bigint
      FROM costing_pool p WHERE p.operation_id = changed.operation_id AND p.hay_kind = changed.hay_kind
       AND NOT EXISTS (SELECT 1 FROM costing_due d WHERE d.operation_id = p.operation_id
         AND d.costing_method = p.costing_method AND d.hay_kind = p.hay_kind
         AND d.transaction_number = pg_current_xact_id()::text::bigint AND d.from_on <= changed.from_on);
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER stock_movement_costs AFTER INSERT ON stock_movement
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.costs_fall_due();
CREATE TRIGGER stock_cost_costs AFTER INSERT ON stock_cost
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.costs_fall_due();

-- Costs are written by the entry itself, even of a hand who sees no prices: under this setting, which the server makes
-- for that alone, whoever may enter hay reads the money of the ledger and of what is kept.
CREATE OR REPLACE FUNCTION rickyard.costs_in() RETURNS uuid[] LANGUAGE sql STABLE
AS $$
  SELECT CASE WHEN rickyard.setting('costing') = 'yes'
    THEN rickyard.operations('daily') || rickyard.operations('records') ELSE '{}' END
$$;
CREATE POLICY stock_cost_costing ON stock_cost FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.costs_in()))));
CREATE POLICY costed_entry_costing ON costed_entry FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.costs_in()))));
CREATE POLICY costing_state_costing ON costing_state FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.costs_in()))));

-- What is known after the last entry of the kinds of some lots, under the operation's method: for entries that come
-- after it. A kind of which something is due is left out.
CREATE OR REPLACE FUNCTION rickyard.costing_tips(of_operation uuid, lots uuid[])
RETURNS TABLE (hay_kind text, hay_lots uuid[], version bigint, last_on date, last_rank integer, last_at timestamptz,
  state jsonb) LANGUAGE plpgsql AS $$
BEGIN
  PERFORM set_config('rickyard.costing', 'yes', true);
  RETURN QUERY
    SELECT p.hay_kind, named.lots, p.version, p.last_on, p.last_rank, p.last_at, s.state
      FROM (SELECT l.hay_kind, array_agg(l.id) AS lots FROM hay_lot l
             WHERE l.operation_id = of_operation AND l.id = ANY (costing_tips.lots) GROUP BY l.hay_kind) named
      JOIN operation o ON o.id = of_operation
      JOIN costing_pool p ON p.operation_id = of_operation AND p.costing_method = o.costing_method
        AND p.hay_kind = named.hay_kind
      JOIN costing_state s ON s.operation_id = of_operation AND s.costing_method = p.costing_method
        AND s.hay_kind = p.hay_kind AND s.until_on = p.last_on
     WHERE NOT EXISTS (SELECT 1 FROM costing_due d WHERE d.operation_id = of_operation
       AND d.costing_method = p.costing_method AND d.hay_kind = p.hay_kind);
  PERFORM set_config('rickyard.costing', '', true);
END $$;
-- When a server starts it asks which operations have costs of hay, written or due.
CREATE POLICY costing_due_everywhere ON costing_due FOR SELECT USING (rickyard.setting('costing') = 'everywhere');
CREATE POLICY costing_pool_everywhere ON costing_pool FOR SELECT USING (rickyard.setting('costing') = 'everywhere');

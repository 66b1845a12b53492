-- What hay cost is kept (costed_entry, costing_state), and what is not yet kept is told by costing_due, written by the
-- entry that changes a cost, whoever makes it: as long as such a row stands, reports replay the ledger instead.
CREATE OR REPLACE FUNCTION rickyard.costs_fall_due() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on)
  SELECT a.operation_id, method.name, l.hay_kind, min(a.effective_on)
    FROM added a
    JOIN hay_lot l ON l.operation_id = a.operation_id AND l.id = a.hay_lot_id
   CROSS JOIN (VALUES ('specific-lot'), ('moving-average'), ('fifo')) AS method (name)
   GROUP BY a.operation_id, method.name, l.hay_kind;
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
-- When a server starts it asks which operations have costs of hay, written or due.
CREATE POLICY costing_due_everywhere ON costing_due FOR SELECT USING (rickyard.setting('costing') = 'everywhere');
CREATE POLICY costing_state_everywhere ON costing_state FOR SELECT USING (rickyard.setting('costing') = 'everywhere');

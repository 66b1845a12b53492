-- A draw is measured from its own instant on. What lies before the earliest new movement was measured when it was written and is not
-- touched by what comes after it, so of all that only the sum is needed; it is read from an index that carries the kilograms.

DROP INDEX "stock_movement_operation_id_hay_lot_id_effective_at_sequenc_idx";
CREATE INDEX "stock_movement_lot_in_order_idx" ON "stock_movement" ("operation_id", "hay_lot_id", "effective_at", "sequence", "kilograms");

-- An export of the ledger reads it in the order of its entries, a thousand rows at a time.
CREATE INDEX "stock_movement_operation_id_sequence_idx" ON "stock_movement" ("operation_id", "sequence");

-- A refused draw says which lot by its name, and how much of what was asked for could be drawn.
CREATE OR REPLACE FUNCTION rickyard.check_lot_balance() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  lot record;
  carried numeric;
  shortfall record;
BEGIN
  FOR lot IN
    SELECT operation_id, hay_lot_id, min(effective_at) AS earliest, -COALESCE(sum(kilograms) FILTER (WHERE kilograms < 0), 0) AS asked
      FROM added GROUP BY operation_id, hay_lot_id ORDER BY hay_lot_id
  LOOP
    PERFORM pg_advisory_xact_lock(hashtextextended(lot.hay_lot_id::text, 727));
    SELECT COALESCE(sum(m.kilograms), 0) INTO carried
      FROM stock_movement m
     WHERE m.operation_id = lot.operation_id AND m.hay_lot_id = lot.hay_lot_id AND m.effective_at < lot.earliest;
    -- A window over a range: what happens at one instant counts together.
    SELECT * INTO shortfall FROM (
      SELECT m.effective_on, carried + sum(m.kilograms) OVER (ORDER BY m.effective_at RANGE UNBOUNDED PRECEDING) AS balance
        FROM stock_movement m
       WHERE m.operation_id = lot.operation_id AND m.hay_lot_id = lot.hay_lot_id AND m.effective_at >= lot.earliest
    ) AS running WHERE running.balance < 0 ORDER BY running.balance LIMIT 1;
    IF FOUND THEN
      RAISE EXCEPTION 'hay lot % would be drawn below zero', lot.hay_lot_id USING
        ERRCODE = 'RY001',
        DETAIL = json_build_object(
          'hayLotId', lot.hay_lot_id, 'shortKilograms', (-shortfall.balance)::text, 'on', shortfall.effective_on,
          'hayLot', (SELECT h.name FROM hay_lot h WHERE h.operation_id = lot.operation_id AND h.id = lot.hay_lot_id),
          'leftKilograms', GREATEST(lot.asked + shortfall.balance, 0)::text)::text;
    END IF;
  END LOOP;
  RETURN NULL;
END $$;

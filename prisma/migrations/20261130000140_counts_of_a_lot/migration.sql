-- What is entered for a time before a count restates it: the counts of a lot after an instant are looked for.
CREATE INDEX "stock_count_operation_id_hay_lot_id_counted_at_idx" ON "stock_count" ("operation_id", "hay_lot_id", "counted_at");

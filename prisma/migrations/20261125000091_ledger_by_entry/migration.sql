-- An export of the ledger reads it in the order of its entries, a thousand rows at a time.
CREATE INDEX "stock_movement_operation_id_sequence_idx" ON "stock_movement" ("operation_id", "sequence");

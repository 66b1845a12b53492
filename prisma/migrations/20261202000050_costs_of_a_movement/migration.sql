-- What a movement cost is looked up by it, also where the planner knows nothing of the table yet.
CREATE INDEX "stock_cost_operation_id_stock_movement_id_idx" ON "stock_cost"("operation_id", "stock_movement_id");

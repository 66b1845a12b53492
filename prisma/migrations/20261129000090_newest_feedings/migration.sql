-- A page of feedings, newest first, is read off the index instead of sorting all there are.
CREATE INDEX "feeding_operation_id_happened_on_id_idx" ON "feeding"("operation_id", "happened_on", "id");

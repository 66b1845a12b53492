-- A half cent is now rounded to even wherever it comes from, and a receipt taken back leaves no trace in what hay costs
-- after it: all that is kept of costs is written anew.
ALTER TABLE "costing_pool" NO FORCE ROW LEVEL SECURITY;
ALTER TABLE "costing_due" NO FORCE ROW LEVEL SECURITY;
INSERT INTO "costing_due" ("operation_id", "costing_method", "hay_kind", "from_on", "transaction_number")
SELECT "operation_id", "costing_method", "hay_kind", DATE '0001-01-01', 0 FROM "costing_pool";

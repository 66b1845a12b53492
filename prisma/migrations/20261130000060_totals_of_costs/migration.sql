-- What is kept at the end of a day now has totals since the books began: all of it is written anew.
ALTER TABLE "costing_pool" NO FORCE ROW LEVEL SECURITY;
ALTER TABLE "costing_due" NO FORCE ROW LEVEL SECURITY;
INSERT INTO "costing_due" ("operation_id", "costing_method", "hay_kind", "from_on", "transaction_number")
SELECT "operation_id", "costing_method", "hay_kind", DATE '0001-01-01', 0 FROM "costing_pool";

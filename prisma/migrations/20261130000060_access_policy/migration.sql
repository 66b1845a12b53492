-- What an owner asks of everybody who comes into the books of the operation. Null and false: nothing.
ALTER TABLE "operation"
  ADD COLUMN "second_factor_required" BOOLEAN NOT NULL DEFAULT false,
  ADD COLUMN "key_days_most" INTEGER,
  ADD COLUMN "consultant_hours_most" INTEGER;
ALTER TABLE "operation" ADD CONSTRAINT "operation_key_days" CHECK ("key_days_most" BETWEEN 1 AND 730);
ALTER TABLE "operation" ADD CONSTRAINT "operation_consultant_hours" CHECK ("consultant_hours_most" BETWEEN 1 AND 720);

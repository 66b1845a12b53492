-- Rows of a file that were left out, since they look like what is there already.
ALTER TABLE "data_import" ADD COLUMN "skipped_count" INTEGER NOT NULL DEFAULT 0;
ALTER TABLE "data_import" ADD CONSTRAINT "data_import_skipped_count" CHECK ("skipped_count" >= 0);

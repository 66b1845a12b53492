-- A saved reading of files ends by a row of its own, so that what was read by it can still be told.
ALTER TABLE "import_mapping" ADD COLUMN "ends_id" UUID;
CREATE UNIQUE INDEX "import_mapping_operation_id_ends_id_key" ON "import_mapping"("operation_id", "ends_id");
ALTER TABLE "import_mapping" ADD CONSTRAINT "import_mapping_operation_id_ends_id_fkey" FOREIGN KEY ("operation_id", "ends_id") REFERENCES "import_mapping"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- By which saved reading a file was read.
ALTER TABLE "data_import" ADD COLUMN "import_mapping_id" UUID;
ALTER TABLE "data_import" ADD CONSTRAINT "data_import_operation_id_import_mapping_id_fkey" FOREIGN KEY ("operation_id", "import_mapping_id") REFERENCES "import_mapping"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

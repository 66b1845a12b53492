-- What the headers of a file mean, as somebody said for files of its kind and shape; the newest holds.
CREATE TABLE "import_mapping" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "shape" TEXT NOT NULL,
    "header" JSONB NOT NULL,
    "columns" JSONB NOT NULL,
    "dates" TEXT,
    "decimals" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "import_mapping_pkey" PRIMARY KEY ("operation_id", "id"),
    CONSTRAINT "import_mapping_shape" CHECK ("shape" ~ '^[0-9a-f]{16}$')
);

CREATE INDEX "import_mapping_operation_id_kind_shape_id_idx" ON "import_mapping"("operation_id", "kind", "shape", "id");

ALTER TABLE "import_mapping" ADD CONSTRAINT "import_mapping_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "import_mapping" ADD CONSTRAINT "import_mapping_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

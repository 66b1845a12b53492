-- A part of a ration may be given by its weight per head beside those that share the amount: mineral by the ounce.
ALTER TABLE ration_layer
  ALTER COLUMN share_percent DROP NOT NULL,
  ALTER COLUMN share_value DROP NOT NULL,
  ADD COLUMN per_head_kg DECIMAL(24,12),
  ADD COLUMN per_head_value TEXT,
  ADD COLUMN per_head_unit TEXT,
  ADD CONSTRAINT ration_layer_per_head CHECK (per_head_kg > 0),
  ADD CONSTRAINT ration_layer_share_or_weight CHECK (
    (share_percent IS NULL) = (share_value IS NULL)
    AND (per_head_kg IS NULL) = (per_head_value IS NULL)
    AND (per_head_kg IS NULL) = (per_head_unit IS NULL)
    AND (share_percent IS NULL) <> (per_head_kg IS NULL));

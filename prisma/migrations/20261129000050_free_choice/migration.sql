-- A part of a ration may be kept in front of the cattle, free choice, and is counted by the intake that is stated.
ALTER TABLE ration_layer
  ADD COLUMN free_choice BOOLEAN NOT NULL DEFAULT false,
  ADD CONSTRAINT ration_layer_free_choice CHECK (NOT free_choice OR per_head_kg IS NOT NULL);

-- Money as it was typed, digit for digit, beside the amount to the cent: "480" reads back as 480. Empty in entries made
-- before this was kept.
ALTER TABLE "hay_purchase_price" ADD COLUMN "freight_value" TEXT, ADD COLUMN "charges_value" TEXT;
ALTER TABLE "hay_quote_price" ADD COLUMN "freight_value" TEXT, ADD COLUMN "charges_value" TEXT;
ALTER TABLE "stock_cost" ADD COLUMN "amount_value" TEXT;

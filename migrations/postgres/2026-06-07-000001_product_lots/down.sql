DROP TABLE product_lots;

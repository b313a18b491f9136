DROP TABLE shortage_watches;
DROP TABLE notices;

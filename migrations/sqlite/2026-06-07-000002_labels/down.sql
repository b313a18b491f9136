DROP TABLE label_confirmations;

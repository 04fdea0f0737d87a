"""What is verified again and again: cleaning of devices, sterilization of families, texts, water."""

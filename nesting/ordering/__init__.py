"""The rest of the order: sealant, paint, who lifts what, labour, and what to buy."""

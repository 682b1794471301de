"""Operations, access steps, labour rates and remedies."""

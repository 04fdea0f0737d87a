"""Papers that prove something: a person's record, a certificate, a station's cover, a roll-out."""

from sinkside.aids.proof.printing import ProofRequest, ProofTable, proof_pdf

__all__ = ["ProofRequest", "ProofTable", "proof_pdf"]

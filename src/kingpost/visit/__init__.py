"""The record of one inspection: facts, evidence, decisions; reading a visit folder."""

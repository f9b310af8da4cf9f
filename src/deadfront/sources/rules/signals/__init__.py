"""Control signals: what the receiver does in each event, whether that is safe, what is never shed.

Comes in: SourceFacts. Goes out: SignalAnswer of results/transfer.py, which the modules of `each` turn into checks.
Start reading: truth.py (contact, relay, wires, receiver), then answer.py.
"""

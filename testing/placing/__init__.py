"""Placing testers: who makes which size, exactly and with reasons; pure.

Imports no other room.
"""

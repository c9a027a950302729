"""What puts the parts together and is imported by none.

Settings, addresses, home, `start`, `demo`, backups, the watch over server and worker, the guide,
and the files of a deployment (`deployment/`).
"""

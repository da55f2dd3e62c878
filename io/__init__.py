"""The adapters: workbooks, drawings and the command. Import as ``dispatch.io``, never as ``io``."""

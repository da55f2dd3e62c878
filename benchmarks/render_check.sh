#!/bin/sh
# Renders a workbook to PNG pages, to be looked at: render_check.sh WORKBOOK FOLDER
# Needs LibreOffice (soffice) and poppler (pdftoppm).
set -eu
if [ $# -ne 2 ]; then
  echo "usage: $0 WORKBOOK FOLDER" >&2
  exit 2
fi
folder=$2
mkdir -p "$folder"
profile=$(mktemp -d)
trap 'rm -rf "$profile"' EXIT
soffice -env:UserInstallation="file://$profile" --headless --convert-to pdf --outdir "$folder" "$1" >/dev/null
name=$(basename "$1")
pdftoppm -png -r 80 "$folder/${name%.*}.pdf" "$folder/page"
ls "$folder"

package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"

	"golang.org/x/image/draw"
)

// iconSizes are the sides in pixels at which Windows shows an icon (Microsoft, "App icon
// construction": 16, 24, 32, 48 and 256 at least).
func iconSizes() []int { return []int{16, 24, 32, 48, 256} }

// ico packs a square picture, scaled to each size, into an icon file: a directory of six and
// sixteen bytes a picture, and each picture as PNG (Microsoft, "Icons", ICONDIR; PNG since
// Windows Vista).
func ico(from image.Image, sizes []int) ([]byte, error) {
	var pictures [][]byte
	for _, n := range sizes {
		scaled := image.NewNRGBA(image.Rect(0, 0, n, n))
		draw.CatmullRom.Scale(scaled, scaled.Rect, from, from.Bounds(), draw.Src, nil)
		var b bytes.Buffer
		if err := png.Encode(&b, scaled); err != nil {
			return nil, err
		}
		pictures = append(pictures, b.Bytes())
	}
	out := binary.LittleEndian.AppendUint16(nil, 0)
	out = binary.LittleEndian.AppendUint16(out, 1) // an icon
	out = binary.LittleEndian.AppendUint16(out, uint16(len(sizes)))
	at := 6 + 16*len(sizes)
	for i, n := range sizes {
		side := byte(n) // 256 is written as 0
		out = append(out, side, side, 0, 0)
		out = binary.LittleEndian.AppendUint16(out, 1)  // plane
		out = binary.LittleEndian.AppendUint16(out, 32) // bits a pixel
		out = binary.LittleEndian.AppendUint32(out, uint32(len(pictures[i])))
		out = binary.LittleEndian.AppendUint32(out, uint32(at))
		at += len(pictures[i])
	}
	return append(out, bytes.Join(pictures, nil)...), nil
}

// script names the icon and the manifest for windres: 1 and 24 are RT_ICON's group and
// RT_MANIFEST. The manifest says that no rights are asked for, that the window draws at the
// display's own density, and that Windows 10 and later are known.
const script = `1 ICON "icon.ico"
1 24 "manifest.xml"
`

const manifest = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<assembly xmlns="urn:schemas-microsoft-com:asm.v1" manifestVersion="1.0">
<trustInfo xmlns="urn:schemas-microsoft-com:asm.v3"><security><requestedPrivileges><requestedExecutionLevel level="asInvoker" uiAccess="false"/></requestedPrivileges></security></trustInfo>
<application xmlns="urn:schemas-microsoft-com:asm.v3"><windowsSettings><dpiAwareness xmlns="http://schemas.microsoft.com/SMI/2016/WindowsSettings">PerMonitorV2</dpiAwareness></windowsSettings></application>
<compatibility xmlns="urn:schemas-microsoft-com:compatibility.v1"><application><supportedOS Id="{8e0f7a12-bfb3-4fe8-b9a5-48fd50a15a9a}"/></application></compatibility>
</assembly>
`

// icon makes the object file with icon and manifest in tmp.
func (t windowTarget) icon(root, tmp string) (object string, err error) {
	f, err := os.Open(filepath.Join(root, "web", "icon-512.png"))
	if err != nil {
		return "", err
	}
	defer f.Close()
	picture, err := png.Decode(f)
	if err != nil {
		return "", fmt.Errorf("web/icon-512.png: %w", err)
	}
	data, err := ico(picture, iconSizes())
	if err != nil {
		return "", err
	}
	for name, text := range map[string][]byte{"icon.ico": data, "icon.rc": []byte(script), "manifest.xml": []byte(manifest)} {
		if err := os.WriteFile(filepath.Join(tmp, name), text, 0o600); err != nil {
			return "", err
		}
	}
	c := exec.Command(t.resources, "-i", "icon.rc", "-O", "coff", "-o", "icon.o")
	c.Dir = tmp
	if said, err := c.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%s: %w\n%s", t.resources, err, said)
	}
	return filepath.Join(tmp, "icon.o"), nil
}
